"""Pieces of ground are cut and joined without losing or inventing any."""

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plots.bed_shapes import (
    CutFault,
    cut,
    cut_along,
    cut_equal,
    joined,
    long_side,
    moved,
    side_length,
    turned,
)
from plots.outlines import Corners, polygon, rectangle

BED = rectangle((3, 2), length_m=5, width_m=1.2, angle_deg=31)
CROOKED: Corners = [[0, 0], [20, 0], [18, 9], [9, 11], [-1, 8]]
L_SHAPE: Corners = [[0, 0], [10, 0], [10, 4], [4, 4], [4, 10], [0, 10]]


def same_ground(one: Corners, other: Corners) -> bool:
    return polygon(one).symmetric_difference(polygon(other)).area < 1e-3


def test_moving_keeps_every_corner_as_far() -> None:
    assert moved([[0, 0], [1, 0], [1, 2]], east_m=3, north_m=-1) == [[3, -1], [4, -1], [4, 1]]


def test_four_quarter_turns_come_back() -> None:
    found = BED
    for _ in range(4):
        found = turned(found, 90)

    assert same_ground(found, BED)


def test_a_quarter_turn_about_a_corner() -> None:
    assert turned([[0, 0], [2, 0], [2, 1], [0, 1]], 90, about=(0, 0)) == [[0, 0], [0, 2], [-1, 2], [-1, 0]]


def test_a_bed_is_split_into_equal_parts_along_its_length() -> None:
    parts = cut_equal(BED, long_side(BED), 4)

    assert [polygon(part).area for part in parts] == pytest.approx([1.5] * 4, abs=1e-3)
    assert math.dist(parts[0][0], BED[0]) < 1e-3


def test_a_bed_is_split_at_a_distance() -> None:
    near, far = cut_along(BED, long_side(BED), 2)

    assert polygon(near).area == pytest.approx(2.4, abs=1e-3)
    assert polygon(far).area == pytest.approx(3.6, abs=1e-3)


@pytest.mark.parametrize("side", range(len(CROOKED)))
def test_equal_halves_of_any_side_make_up_the_whole(side: int) -> None:
    one, other = cut_equal(CROOKED, side)

    assert polygon(one).area == pytest.approx(polygon(CROOKED).area / 2, abs=2e-3)
    assert polygon(one).intersection(polygon(other)).area < 1e-3
    assert same_ground(joined(one, other, reach_m=0.05), CROOKED)


@pytest.mark.parametrize("distance_m", [-1, 0, 5.0001, math.nan])
def test_a_cut_beyond_the_side_is_refused(distance_m: float) -> None:
    with pytest.raises(CutFault, match="between 0 and that"):
        cut_along(BED, 0, distance_m)


def test_a_line_that_makes_three_pieces_is_refused() -> None:
    with pytest.raises(CutFault, match="3 pieces"):
        cut(L_SHAPE, at=(7, 1), heading=(-1, 1))


def test_beds_beside_each_other_take_the_path_between_in() -> None:
    other = rectangle((0, 1.6), length_m=5, width_m=1.2)

    found = joined(rectangle((0, 0), length_m=5, width_m=1.2), other, reach_m=1)

    assert same_ground(found, rectangle((0, 0), length_m=5, width_m=2.8))


def test_beds_too_far_apart_are_not_joined() -> None:
    with pytest.raises(CutFault, match=r"1\.40 m apart"):
        joined(
            rectangle((0, 0), length_m=5, width_m=1), rectangle((1, 2.4), length_m=5, width_m=1), reach_m=1
        )


def test_a_corner_joins_nothing() -> None:
    with pytest.raises(CutFault, match="corner"):
        joined(rectangle((0, 0), length_m=2, width_m=2), rectangle((2, 2), length_m=2, width_m=2), reach_m=1)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # a busy machine is no fault
@given(
    corners=st.lists(st.floats(-1.5, 1.5), min_size=8, max_size=8),
    side=st.integers(0, 3),
    share=st.floats(0.2, 0.8),
)
def test_whatever_is_cut_in_two_can_be_joined_again(corners: list[float], side: int, share: float) -> None:
    """A quadrilateral near 20 m by 8 m, each corner up to 1.5 m off, cut square to any side."""
    base = [(0, 0), (20, 0), (20, 8), (0, 8)]
    land = [[x + corners[2 * at], y + corners[2 * at + 1]] for at, (x, y) in enumerate(base)]

    one, other = cut_along(land, side, share * side_length(land, side))

    assert polygon(one).area + polygon(other).area == pytest.approx(polygon(land).area, abs=0.01)
    assert polygon(one).intersection(polygon(other)).area < 0.01
    assert polygon(joined(one, other, reach_m=0.05)).symmetric_difference(polygon(land)).area < 0.02
