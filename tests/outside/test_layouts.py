"""Layouts against counts and an optimum that others worked out.

Latin squares of order n, each group once on each bed and once a season: 12, 576 and 161280 for n = 3, 4, 5
(sequence A002860 of the On-Line Encyclopedia of Integer Sequences; from memory). The eight by eight
assignment is solved beside by scipy.optimize.linear_sum_assignment.
"""

import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from plots.rotation.proposals import Piece, Place, Problem, Wish, layouts, propose
from tests.plots.rotation.proposals.problems import square


@pytest.mark.parametrize(("size", "count"), [(3, 12), (4, 576), (5, 161280)])
def test_groups_once_a_bed_and_once_a_season_are_latin_squares(size, count):
    assert sum(1 for _ in layouts(square(size))) == count


def test_an_assignment_costs_what_the_hungarian_method_finds():
    prices = np.fromfunction(lambda bed, crop: ((bed + 1) * (crop + 1) * 7) % 23, (8, 8))
    beds, crops = linear_sum_assignment(prices)
    pieces = tuple(Piece(f"{bed}", f"bed {bed}", 1.0) for bed in range(8))
    wishes = tuple(Wish(f"{crop}", 2030, f"{crop}", f"crop {crop}", 1.0) for crop in range(8))
    likes = {Place(f"{bed}", f"{crop}"): -float(prices[bed, crop]) for bed in range(8) for crop in range(8)}
    found = propose(Problem(pieces, wishes, likes=likes, one_crop_a_piece=True))
    assert found.is_proven
    assert found.cost == pytest.approx(prices[beds, crops].sum())
    assert prices[beds, crops].sum() == 36
