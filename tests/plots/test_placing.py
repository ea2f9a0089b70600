"""Pieces of ground in pieces of ground, with angles."""

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plots.outlines import Corners, rectangle
from plots.placing import (
    Strip,
    first_corner_words,
    overhang_words,
    overhangs,
    overlap_m2,
    patch_sides,
    strip_outline,
)

BED = rectangle((1.0, 1.0), length_m=5, width_m=1.2)
angles = st.floats(-180, 180)
shares = st.floats(0, 1)
distances = st.floats(0.02, 40)


def bed_at(angle_deg: float, length_m: float, width_m: float) -> Corners:
    return rectangle((12.5, 7.25), length_m=length_m, width_m=width_m, angle_deg=angle_deg)


def strip_in(length_m: float, width_m: float, shares: tuple[float, float, float, float]) -> Strip:
    """A strip of some share of a bed's sides, at some share of the room that is left."""
    long, wide = max(0.05, shares[0] * length_m), max(0.05, shares[1] * width_m)
    return Strip(long, wide, along_m=shares[2] * (length_m - long), across_m=shares[3] * (width_m - wide))


@given(angles, st.floats(0.3, 30), st.floats(0.3, 5), st.tuples(shares, shares, shares, shares))
def test_a_rectangle_inside_a_bed_is_always_inside(
    angle: float, length: float, width: float, share: tuple[float, float, float, float]
) -> None:
    bed = bed_at(angle, length, width)
    assert overhangs(bed, strip_outline(bed, strip_in(length, width, share))) == ()


@given(angles, distances, st.sampled_from(["along", "before", "across", "below"]))
def test_a_rectangle_moved_out_is_always_outside_by_that_much(angle: float, by_m: float, way: str) -> None:
    bed = bed_at(angle, 5, 1.2)
    along = {"along": 3 + by_m, "before": -by_m}.get(way, 1.0)
    across = {"across": 0.7 + by_m, "below": -by_m}.get(way, 0.3)
    words = overhang_words(overhangs(bed, strip_outline(bed, Strip(2, 0.5, along, across))))
    [said] = re.findall(r"(\d+\.\d\d) m over the \S+ side", words)
    assert float(said) == pytest.approx(by_m, abs=0.01)


@given(angles, st.floats(0, 0.009))
def test_less_than_a_centimetre_out_is_touching(angle: float, by_m: float) -> None:
    bed = bed_at(angle, 5, 1.2)
    assert overhangs(bed, strip_outline(bed, Strip(2, 0.5, along_m=3 + by_m))) == ()


@pytest.mark.parametrize(
    ("corner", "side"), [((-1, 1), "west"), ((2, 1), "east"), ((1, 2), "north"), ((1, 0), "south")]
)
def test_a_side_is_named_after_the_wind_it_faces(corner: tuple[float, float], side: str) -> None:
    [over] = overhangs(BED, rectangle(corner, length_m=5, width_m=1.2))
    assert (over.side, over.by_m) == (side, pytest.approx(1.0 if side in {"north", "south", "east"} else 2.0))


def test_both_sides_of_a_corner_are_named_the_worst_first() -> None:
    out = overhangs(BED, rectangle((4, 2), length_m=3, width_m=0.5))
    assert overhang_words(out) == "1.00 m over the east side and 0.30 m over the north side"


def test_a_strip_keeps_to_the_side_of_a_bed_drawn_clockwise() -> None:
    clockwise = [BED[0], BED[3], BED[2], BED[1]]
    assert overhangs(clockwise, strip_outline(clockwise, Strip(1.0, 4.0, 0.1, 0.5))) == ()


def test_a_piece_across_a_notch_is_outside() -> None:
    hooked = [[0, 0], [6, 0], [6, 6], [4, 6], [4, 2], [2, 2], [2, 6], [0, 6]]  # a U, open to the north
    out = overhangs(hooked, rectangle((1, 3), length_m=4, width_m=1))
    assert max(each.by_m for each in out) == pytest.approx(1.0, abs=0.05)  # half of the 2 m of the notch


def test_a_piece_in_one_arm_of_a_notched_plot_is_inside() -> None:
    hooked = [[0, 0], [6, 0], [6, 6], [4, 6], [4, 2], [2, 2], [2, 6], [0, 6]]
    assert overhangs(hooked, rectangle((0.5, 0.5), length_m=1, width_m=5)) == ()


def test_shared_ground_is_the_area_both_have() -> None:
    assert overlap_m2(BED, rectangle((4, 1), length_m=5, width_m=1.2)) == pytest.approx(2 * 1.2)


@pytest.mark.parametrize("gap_m", [0.0, 0.5, -0.009])
def test_neighbours_that_touch_share_nothing(gap_m: float) -> None:
    assert overlap_m2(BED, rectangle((6 + gap_m, 1), length_m=5, width_m=1.2)) == 0.0


@given(angles)
def test_a_patch_turned_round_keeps_its_sides(angle: float) -> None:
    length, width = patch_sides(bed_at(angle, 5, 1.2))
    assert math.isclose(length, 5, abs_tol=1e-3)
    assert math.isclose(width, 1.2, abs_tol=1e-3)


@pytest.mark.parametrize(
    ("first", "words"),
    [
        (0, "south-west corner, along the side that runs east"),
        (2, "north-east corner, along the side that runs west"),
    ],
)
def test_a_long_plots_first_corner_is_named_after_its_corner(first: int, words: str) -> None:
    corners = rectangle((0, 0), length_m=40, width_m=5)

    assert words in first_corner_words(corners[first:] + corners[:first])
