"""A cell changed by hand, what stands already, and a problem that is written down and read again."""

import json
from dataclasses import replace

import pytest
from shapely.geometry import box

from plots.rotation.proposals import (
    Asked,
    Ground,
    Piece,
    Place,
    Problem,
    ProblemFault,
    Proposal,
    Share,
    Standing,
    Wish,
    answer_data,
    answer_from,
    changed,
    problem_data,
    problem_from,
    problem_of,
    propose,
    troubles_of,
)
from plots.rotation.proposals.types import BROKEN, MISSING
from tests.plots.rotation.proposals.problems import anything, square

BED = Ground("bed", "bed 1", box(0, 0, 5, 1.2))


@pytest.mark.parametrize("seed", range(40))
def test_what_is_written_down_is_read_again(seed):
    problem = anything(seed, one_crop_a_piece=False)
    found = propose(problem)
    assert problem_from(json.loads(json.dumps(problem_data(problem)))) == problem
    assert answer_from(json.loads(json.dumps(answer_data(found)))) == found


@pytest.mark.parametrize("seed", range(40))
def test_no_change_by_hand_gives_out_more_than_there_is(seed):
    problem = anything(seed, one_crop_a_piece=False)
    layout = propose(problem)
    for wish in problem.wishes:
        for piece in problem.pieces:
            layout = changed(problem, layout, piece=piece.key, season=wish.season, wish=wish.key)
            for each in problem.pieces:
                for season in problem.seasons:
                    keys = {other.key for other in problem.wishes if other.season == season}
                    given = sum(s.area_m2 for s in layout.shares if s.piece == each.key and s.wish in keys)
                    assert given <= each.area_m2 + 1e-5
            got = sum(share.area_m2 for share in layout.shares if share.wish == wish.key)
            assert got <= wish.area_m2 + 1e-5
            assert any((share.piece, share.wish) == (piece.key, wish.key) for share in layout.shares)
            assert layout.troubles == troubles_of(problem, layout.shares)


def test_two_crops_that_change_places_cost_nothing():
    problem = square(2, seasons=1, minimum=0)
    layout = propose(problem)
    first = next(share for share in layout.shares if share.wish == "1-2030")
    other = "bed2" if first.piece == "bed1" else "bed1"
    swapped = changed(problem, layout, piece=other, season=2030, wish="1-2030")
    assert {share.wish: share.piece for share in swapped.shares} == {"1-2030": other, "2-2030": first.piece}
    assert swapped.cost == layout.cost == 0


def test_an_emptied_bed_leaves_its_crop_without_ground():
    problem = square(2, seasons=1, minimum=0)
    layout = propose(problem)
    piece = next(share.piece for share in layout.shares if share.wish == "1-2030")
    emptied = changed(problem, layout, piece=piece, season=2030, wish=None)
    assert [(each.kind, each.wish) for each in emptied.troubles] == [(MISSING, "1-2030")]


def test_what_is_settled_is_not_moved():
    problem = Problem(
        (Piece("bed", "bed 1", 6.0),),
        (Wish("kept", 2030, "leek", "leeks", 6.0), Wish("beans", 2030, "pea", "peas", 6.0)),
        fixed=(Place("bed", "kept"),),
    )
    layout = Proposal((Share("bed", "kept", 6.0),), (), 0.0, True)
    with pytest.raises(ProblemFault, match="settled"):
        changed(problem, layout, piece="bed", season=2030, wish="beans")
    with pytest.raises(ProblemFault, match="season"):
        changed(problem, layout, piece="bed", season=2031, wish="beans")


def asked(key: str, season: int, family: str = "Brassicaceae") -> Asked:
    return Asked(key, season, "any", "cabbages", family, 6.0)


def standing(*seasons: int) -> list[Standing]:
    return [Standing("bed", asked(f"kept-{season}", season), "one cabbage") for season in seasons]


def test_a_crop_that_stands_on_breaks_no_rest_of_its_own():
    problem = problem_of([BED], [], [], record_since=1990, standing=standing(2030, 2031))
    assert propose(problem).troubles == ()


def test_what_stands_keeps_its_family_off_before_and_after():
    problem = problem_of(
        [BED], [asked("early", 2030), asked("late", 2032)], [], record_since=1990, standing=standing(2031)
    )
    found = propose(problem)
    assert {share.wish for share in found.shares} == {"kept-2031"}
    assert {each.wish for each in found.troubles if each.kind == MISSING} == {"early", "late"}
    assert all(each.kind != BROKEN for each in found.troubles)


OTHER_BED = Ground("other", "bed 2", ((0, 5), (5, 5), (5, 6.2), (0, 6.2)))


def test_what_stands_gives_no_ground_away_to_a_wish_that_could_use_it():
    """The cabbages could as well be on the other bed, and the beans like theirs; they stay all the same."""
    beans = asked("beans", 2030, "Fabaceae")
    problem = problem_of(
        [BED, OTHER_BED], [beans], [], record_since=1990, standing=standing(2030),
        likes={Place("bed", "beans"): 1.0},
    )  # fmt: skip
    found = propose(problem)
    assert {(each.piece, each.wish): round(each.area_m2, 3) for each in found.shares} == {
        ("bed", "kept-2030"): 6.0,
        ("other", "beans"): 6.0,
    }
    with pytest.raises(ProblemFault, match="stays there"):
        changed(problem, found, piece="other", season=2030, wish="kept-2030")


def test_a_wish_beside_a_crop_that_stands_on_keeps_its_rest_from_it():
    """One half of the bed has the crop for two seasons; the other half is no ground for its family then."""
    half = [replace(each, asked=replace(each.asked, area_m2=3.0)) for each in standing(2030, 2031)]
    wish = replace(asked("late", 2031), area_m2=3.0)
    problem = problem_of([BED], [wish], [], record_since=1990, standing=half)
    found = propose(problem)
    assert [each.kind for each in found.troubles] == [MISSING]

    told = troubles_of(problem, [*found.shares, Share("bed", "late", 3.0)])
    assert [(each.kind, each.wish) for each in told] == [(BROKEN, "late")]


def test_of_two_crops_that_are_planned_too_near_no_layout_speaks():
    beside = Standing("bed", replace(asked("onions", 2030), area_m2=3.0), "other cabbage")
    half = [replace(each, asked=replace(each.asked, area_m2=3.0)) for each in standing(2031)]
    problem = problem_of([BED], [], [], record_since=1990, standing=[beside, *half])
    assert propose(problem).troubles == ()


def test_no_crop_is_given_a_crumb_of_ground():
    """Two wishes for 6.1 m² each on two beds of 6: what is left over of one is too little to be a patch."""
    wishes = [
        replace(asked(key, 2030, family), area_m2=6.1)
        for key, family in (("a", "Fabaceae"), ("b", "Apiaceae"))
    ]
    found = propose(problem_of([BED, OTHER_BED], wishes, [], record_since=1990))
    assert min(share.area_m2 for share in found.shares) >= 0.25
