"""The checker and the solver speak of one ground: what one calls sound, the other does."""

import random
from collections import Counter

import pytest
from shapely.affinity import rotate
from shapely.geometry import Polygon, box

from plots.rotation import Customs, GroundUse, Level, Sighting, Wanted, judge, rest_rules
from plots.rotation.proposals import Asked, Dressing, Ground, Place, problem_of, propose
from plots.rotation.proposals.types import BROKEN, UNDER
from plots.rotation.proposals.wording import trouble_words

FAMILIES = sorted(rest_rules())
PROBLEMS = ("beet-cyst-nematode", "clubroot", "sclerotinia", "root-knot-nematode", "white-rot")
BED = Ground("bed", "bed 1", box(0, 0, 5, 1.2))


def a_plot(seed: int):
    """A few strips, a past on beds that lay otherwise, problems seen, wishes for two to four seasons."""
    chance = random.Random(seed)
    ground = [
        Ground(f"{n}", f"strip {n}", box(0, 1.6 * n, 5, 1.6 * n + 1.2)) for n in range(chance.randint(2, 3))
    ]
    past = [
        GroundUse(
            f"past{number}",
            somewhere(chance),
            "any",
            "Any",
            chance.choice(FAMILIES[:5]),
            season := 2030 - chance.randint(1, 7),
            season,
            is_root=chance.random() < 0.5,
        )
        for number in range(chance.randint(0, 5))
    ]
    seen = [
        Sighting(
            f"seen{number}",
            somewhere(chance),
            chance.choice(PROBLEMS),
            2030 - chance.randint(1, 9),
            chance.random() < 0.7,
        )
        for number in range(chance.choice([0, 0, 1, 2]))
    ]
    asked = [
        Asked(
            f"w{season}{number}",
            season,
            "any",
            "crop",
            chance.choice(FAMILIES[:5]),
            chance.choice([2.0, 6.0]),
            is_root=chance.random() < 0.5,
        )
        for season in range(2030, 2030 + chance.randint(2, 4))
        for number in range(chance.randint(1, 2))
    ]
    return ground, past, seen, asked, Customs(root_after_root=chance.choice([0, 0, 1, 2]))


def somewhere(chance: random.Random) -> Polygon:
    return rotate(box(chance.uniform(-1, 3), chance.uniform(-1, 4), 5, 5), chance.uniform(-20, 20))


@pytest.mark.parametrize("block", range(20))
def test_what_the_solver_calls_sound_the_checker_calls_sound(block):
    """A thousand small plots: every layout is judged season by season, as if it had been adopted."""
    levels = Counter()
    for seed in range(50 * block, 50 * block + 50):
        ground, past, seen, asked, customs = a_plot(seed)
        known = {"record_since": 1990, "sightings": seen, "customs": customs}
        problem = problem_of(ground, asked, past, one_crop_a_piece=True, **known)
        found = propose(problem)
        shape = {each.key: each.polygon for each in ground}
        wish = {each.key: each for each in asked}
        warned = {(trouble.piece, trouble.wish) for trouble in found.troubles if trouble.kind == UNDER}
        stood = list(past)
        for share in sorted(found.shares, key=lambda each: wish[each.wish].season):
            each = wish[share.wish]
            on = each.key, shape[share.piece], "any", "crop", each.family, each.season
            level = judge(Wanted(*on, is_root=each.is_root), stood, **known).level
            assert level is not Level.BROKEN, seed
            is_warned = (share.piece, share.wish) in warned
            assert (level in {Level.SHORT, Level.POSSIBLE}) == is_warned, seed
            stood.append(GroundUse(*on, each.season, is_root=each.is_root))
            levels[level] += 1
        assert all(trouble.kind != BROKEN for trouble in found.troubles)
    assert min(levels[Level.SOUND], levels[Level.SHORT]) > 0


def test_a_host_of_a_problem_seen_waits_for_hosts_of_other_families_on_that_bed_alone():
    """Beet cyst nematode: 3 to 5 years without beets and cabbages alike, where it was seen."""
    sick = Sighting("seen", BED.polygon, "beet-cyst-nematode", 2020, is_sure=True)
    beets = Asked("beets", 2030, "beetroot-early", "beetroot", "Amaranthaceae", 6.0)
    kale = Asked("kale", 2031, "kale", "kale", "Brassicaceae", 6.0)
    problem = problem_of([BED], [beets, kale], [], record_since=1990, sightings=[sick])
    found = propose(problem)
    assert len(found.shares) == 1
    assert "too near while beet cyst nematode may live there" in trouble_words(problem, found)[0]

    other = Ground("other", "bed 2", box(0, 3, 5, 4.2))
    free = propose(problem_of([BED, other], [beets, kale], [], record_since=1990, sightings=[sick]))
    assert {share.wish for share in free.shares if share.area_m2 == pytest.approx(6.0)} == {"beets", "kale"}
    healthy = propose(problem_of([BED], [beets, kale], [], record_since=1990))
    assert len(healthy.shares) == 2


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
