"""What a season costs at the least, beside sums done by hand and beside the solver."""

import pytest

from plots.rotation.proposals import Piece, Problem, Wish, propose
from plots.rotation.proposals.packing import season_cost
from tests.plots.rotation.proposals.problems import anything


def pieces(*areas_m2: float) -> tuple[Piece, ...]:
    return tuple(Piece(f"{n}", f"bed {n}", area) for n, area in enumerate(areas_m2))


def wishes(*areas_m2: float) -> tuple[Wish, ...]:
    return tuple(Wish(f"w{n}", 2030, "crop", "beans", area) for n, area in enumerate(areas_m2))


@pytest.mark.parametrize(
    ("beds", "asked", "cost"),
    [
        ((6, 6), (6, 6), 0.0),
        ((6, 6), (3, 3, 6), 0.0),
        # Four thirds of a bed: one crop is in two beds.
        ((6, 6), (4, 4, 4), 0.1),
        # 8 m² reach into a second bed, whose rest the others fill.
        ((6, 6), (8, 2, 2), 0.1),
        # Three hang together by three beds: two more places than crops.
        ((6, 6, 6), (8, 8, 2), 0.2),
        # One square metre of twelve lacks: a twelfth of a thousand, and the second bed.
        ((6, 5), (12,), 1000 / 12 + 0.1),
        # The larger crop minds a square metre less.
        ((6,), (5, 2), 1000 / 5),
        ((4, 6), (6, 4), 0.0),
    ],
)
def test_a_season_costs_what_is_found_by_hand(beds, asked, cost):
    assert season_cost(pieces(*beds), wishes(*asked)) == pytest.approx(cost, abs=0.01)


@pytest.mark.parametrize("seed", range(60))
def test_no_season_of_a_layout_costs_less(seed):
    problem = anything(seed, one_crop_a_piece=False)
    for season in problem.seasons:
        asked = tuple(wish for wish in problem.wishes if wish.season == season)
        alone = propose(Problem(problem.pieces, asked))
        assert alone.cost == pytest.approx(season_cost(problem.pieces, asked), abs=0.01)


def test_too_many_wishes_are_left_to_the_solver():
    assert season_cost(pieces(1.0), wishes(*[1.0] * 10)) == 0.0
