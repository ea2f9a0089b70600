"""The checker and the solver speak of one ground: what one calls sound, the other does."""

import random

import pytest
from shapely.affinity import rotate
from shapely.geometry import box

from plots.rotation import GroundUse, Level, Wanted, judge, rest_rules
from plots.rotation.proposals import Asked, Dressing, Ground, Place, problem_of, propose
from plots.rotation.proposals.types import BROKEN, UNDER

FAMILIES = sorted(rest_rules())
BED = Ground("bed", "bed 1", box(0, 0, 5, 1.2))


def a_plot(seed: int):
    """A few strips, a past on beds that lay otherwise, and wishes for two to four seasons."""
    chance = random.Random(seed)
    ground = [
        Ground(f"{n}", f"strip {n}", box(0, 1.6 * n, 5, 1.6 * n + 1.2)) for n in range(chance.randint(2, 3))
    ]
    past = [
        GroundUse(
            f"past{number}",
            rotate(box(chance.uniform(-1, 3), chance.uniform(-1, 4), 5, 5), chance.uniform(-20, 20)),
            "any",
            "Any",
            chance.choice(FAMILIES[:4]),
            season := 2030 - chance.randint(1, 7),
            season,
        )
        for number in range(chance.randint(0, 5))
    ]
    asked = [
        Asked(
            f"w{season}{number}",
            season,
            "any",
            "crop",
            chance.choice(FAMILIES[:4]),
            chance.choice([2.0, 6.0]),
        )
        for season in range(2030, 2030 + chance.randint(2, 4))
        for number in range(chance.randint(1, 2))
    ]
    return ground, past, asked


@pytest.mark.parametrize("block", range(20))
def test_what_the_solver_calls_sound_the_checker_calls_sound(block):
    """A thousand small plots: every layout is judged season by season, as if it had been adopted."""
    for seed in range(50 * block, 50 * block + 50):
        ground, past, asked = a_plot(seed)
        problem = problem_of(ground, asked, past, record_since=1990, one_crop_a_piece=True)
        found = propose(problem)
        shape = {each.key: each.polygon for each in ground}
        wish = {each.key: each for each in asked}
        warned = {(trouble.piece, trouble.wish) for trouble in found.troubles if trouble.kind == UNDER}
        stood = list(past)
        for share in sorted(found.shares, key=lambda each: wish[each.wish].season):
            each = wish[share.wish]
            asks = Wanted(each.key, shape[share.piece], "any", "crop", each.family, each.season)
            level = judge(asks, stood, record_since=1990).level
            assert level is not Level.BROKEN, seed
            assert (level is Level.SHORT) == ((share.piece, share.wish) in warned), seed
            stood.append(
                GroundUse(each.key, shape[share.piece], "any", "crop", each.family, each.season, each.season)
            )
        assert all(trouble.kind != BROKEN for trouble in found.troubles)


def roots(season: int, shuns: str = "manure") -> Asked:
    return Asked("roots", season, "carrot-early", "carrots", "Apiaceae", 6.0, True, frozenset({shuns}))


@pytest.mark.parametrize(("season", "bars"), [(2030, 1), (2031, 1), (2032, 0)])
def test_roots_do_not_follow_fresh_manure(season, bars):
    manure = Dressing("manure", box(0, 0, 5, 1.2), 2030, 2031)
    problem = problem_of([BED], [roots(season)], [], record_since=1990, dressings=[manure])
    assert [bar.why for bar in problem.bars] == ["manure"] * bars
    assert [bar.until for bar in problem.bars] == [2032] * bars


def test_a_corner_of_manure_spoils_no_bed():
    corner = Dressing("manure", box(0, 0, 0.2, 0.2), 2030, 2031)
    assert not problem_of([BED], [roots(2030)], [], record_since=1990, dressings=[corner]).bars


def test_a_settled_place_stays_where_it_is():
    other = Ground("other", "bed 2", box(0, 3, 5, 4.2))
    problem = problem_of([BED, other], [roots(2030)], [], record_since=1990, fixed=[Place("other", "roots")])
    assert [share.piece for share in propose(problem).shares] == ["other"]
