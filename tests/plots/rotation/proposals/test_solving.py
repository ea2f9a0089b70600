"""The solver against counting every possibility, and against what it may never do."""

import itertools

import pytest

from plots.rotation.proposals import Place, Problem, ProblemFault, Rest, Share, Wish, propose, troubles_of
from plots.rotation.proposals.types import BROKEN, Piece
from plots.rotation.proposals.wording import trouble_words
from tests.plots.rotation.proposals.problems import anything, square


def least_cost(problem: Problem) -> float:
    """Try every way to fill every bed in every season; the cost of the best that breaks nothing."""
    barred = {Place(bar.piece, bar.wish) for bar in problem.bars}
    cells = [
        [
            None,
            *(Share(piece.key, wish.key, piece.area_m2) for wish in problem.wishes if wish.season == season),
        ]
        for piece in problem.pieces
        for season in problem.seasons
    ]
    best = float("inf")
    for way in itertools.product(*cells):
        shares = [share for share in way if share and Place(share.piece, share.wish) not in barred]
        if len(shares) < sum(share is not None for share in way):
            continue
        troubles = troubles_of(problem, shares)
        if all(trouble.kind != BROKEN for trouble in troubles):
            best = min(best, sum(trouble.cost for trouble in troubles))
    return best


@pytest.mark.parametrize("seed", range(100))
def test_the_answer_costs_what_the_best_of_all_ways_costs(seed):
    problem = anything(seed)
    found = propose(problem)
    assert found.is_proven
    assert found.cost == pytest.approx(least_cost(problem), abs=1e-3)


@pytest.mark.parametrize("seed", range(100))
def test_no_rest_is_broken_and_no_bed_is_given_twice(seed):
    problem = anything(seed, one_crop_a_piece=False)
    found = propose(problem)
    barred = {Place(bar.piece, bar.wish) for bar in problem.bars}
    assert not any(Place(share.piece, share.wish) in barred for share in found.shares)
    assert all(trouble.kind != BROKEN for trouble in found.troubles)
    season = {wish.key: wish.season for wish in problem.wishes}
    for piece in problem.pieces:
        for each in problem.seasons:
            given = [s.area_m2 for s in found.shares if s.piece == piece.key and season[s.wish] == each]
            assert sum(given) <= piece.area_m2 + 1e-6


def test_sharing_beds_never_costs_more_than_whole_beds():
    for seed in range(30):
        whole, shared = (propose(anything(seed, one_crop_a_piece=each)) for each in (True, False))
        assert shared.cost <= whole.cost + 1e-3


def test_eight_strips_six_seasons_and_eight_groups_are_proven_best():
    problem = square(8, seasons=6, minimum=3, recommended=5)
    found = propose(problem)
    assert (found.is_proven, found.cost) == (True, 0.0)
    assert len(found.shares) == 48


def test_the_same_question_has_the_same_answer():
    assert propose(square(5)) == propose(square(5))


def test_a_second_layout_is_another_one():
    problem = square(4)
    first = propose(problem)
    second = propose(problem, unlike=[first])
    kept = {(s.piece, s.wish) for s in first.shares} & {(s.piece, s.wish) for s in second.shares}
    assert len(kept) <= 12  # three quarters of sixteen places


def test_an_impossible_wish_is_answered_in_words():
    rest = (Rest("Apiaceae", 3, 5),)
    wishes = [
        Wish("a", 2030, "carrot", "carrots", 6.0, rest),
        Wish("b", 2031, "parsnip", "parsnips", 6.0, rest),
    ]
    problem = Problem((Piece("1", "bed 1", 6.0),), tuple(wishes))
    found = propose(problem)
    words = trouble_words(problem, found)
    assert len(words) == 1
    assert "6 m² of 6 m² found no place" in words[0]
    assert "too near for its family" in words[0]


@pytest.mark.parametrize(("wanted_m2", "told"), [(6.04, 0), (6.06, 1)])
def test_ground_that_would_read_as_nothing_is_not_called_missing(wanted_m2, told):
    wish = Wish("a", 2030, "carrot", "carrots", wanted_m2)
    problem = Problem((Piece("1", "bed 1", 6.0),), (wish,))
    assert len(trouble_words(problem, propose(problem))) == told


def test_a_settled_place_stays_and_is_owned_up_to():
    rest = (Rest("Apiaceae", 3, 5),)
    wishes = (
        Wish("a", 2030, "carrot", "carrots", 6.0, rest),
        Wish("b", 2031, "parsnip", "parsnips", 6.0, rest),
    )
    problem = Problem((Piece("1", "bed 1", 6.0),), wishes, fixed=(Place("1", "a"), Place("1", "b")))
    found = propose(problem)
    assert [trouble.kind for trouble in found.troubles] == [BROKEN]
    assert "only 0 full seasons" in trouble_words(problem, found)[0]


def test_a_layout_that_cannot_differ_says_so():
    settled = Problem(
        (Piece("1", "bed 1", 1.0),), (Wish("a", 2030, "c", "c", 1.0),), fixed=(Place("1", "a"),)
    )
    with pytest.raises(ProblemFault, match="no layout differs"):
        propose(settled, unlike=[propose(settled)])


@pytest.mark.parametrize(
    ("make", "named"),
    [
        (lambda: Problem((Piece("1", "a", 0.0),), ()), "pieces: '1' has 0.0 m²"),
        (lambda: Problem((Piece("1", "a", 1.0), Piece("1", "b", 1.0)), ()), "is there twice"),
        (lambda: Problem((Piece("1", "a", 1.0),), (), fixed=(Place("1", "x"),)), "no such piece or wish"),
    ],
)
def test_a_bad_question_names_what_is_wrong(make, named):
    with pytest.raises(ProblemFault, match=named):
        make()
