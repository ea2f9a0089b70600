"""The layout from which the solver goes on: sound, full, and there however many beds there are."""

import pytest

from plots.rotation.proposals import Piece, Place, Problem, Rest, Wish
from plots.rotation.proposals.costs import troubles_of
from plots.rotation.proposals.starting import first_places
from plots.rotation.proposals.types import BARRED, BROKEN, SCATTERED, Share
from tests.plots.rotation.proposals.problems import anything


@pytest.mark.parametrize("one_crop_a_piece", [True, False])
@pytest.mark.parametrize("seed", range(40))
def test_it_breaks_no_bar_and_no_rest_and_gives_no_piece_twice(seed: int, one_crop_a_piece: bool) -> None:
    problem = anything(seed, one_crop_a_piece=one_crop_a_piece)
    places = first_places(problem)
    area_m2 = {piece.key: piece.area_m2 for piece in problem.pieces}

    kinds = {
        each.kind for each in troubles_of(problem, [Share(*each, area_m2[each.piece]) for each in places])
    }
    assert not kinds & {BARRED, BROKEN}
    if one_crop_a_piece:
        season = {wish.key: wish.season for wish in problem.wishes}
        assert len({(place.piece, season[place.wish]) for place in places}) == len(places)


def test_settled_places_are_in_it_and_others_give_way() -> None:
    rest = (Rest("Apiaceae", 3, 5),)
    wishes = (
        Wish("carrots", 2030, "carrot", "carrots", 6.0, rest), Wish("beans", 2031, "pea", "peas", 6.0),
        Wish("parsnips", 2031, "parsnip", "parsnips", 6.0, rest),
    )  # fmt: skip
    problem = Problem((Piece("1", "bed 1", 6.0),), wishes, fixed=(Place("1", "parsnips"),))
    assert first_places(problem) == {Place("1", "parsnips")}


def test_forty_beds_and_six_seasons_are_not_left_empty() -> None:
    """There is room for every wish: 40 beds of 1 m² for twelve wishes of 3 m², each family resting three."""
    pieces = tuple(Piece(f"{n}", f"bed {n}", 1.0) for n in range(40))
    wishes = tuple(
        Wish(f"{season}:{n}", season, f"crop{n}", f"crop {n}", 3.0, (Rest(f"family {n}", 2, 2),))
        for season in range(2030, 2036)
        for n in range(12)
    )
    problem = Problem(pieces, wishes)
    shares = [Share(*place, 1.0) for place in first_places(problem)]
    assert {each.kind for each in troubles_of(problem, shares)} == {SCATTERED}
