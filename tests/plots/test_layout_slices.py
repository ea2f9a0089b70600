"""Beds cut into strips and shares: the areas asked for, side by side, on free ground only."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from plots.layout_slices import slices, strips
from plots.outlines import rectangle
from plots.placing import patch_sides

BED = rectangle((3, 4), length_m=5, width_m=1.2, angle_deg=17)


def area(parts) -> float:
    return sum(Polygon(part).area for part in parts)


@pytest.mark.parametrize("count", [1, 2, 3, 7])
def test_strips_have_one_size_and_span_the_bed(count):
    found = strips(BED, count)
    assert [Polygon(each).area for each in found] == pytest.approx([6 / count] * count, abs=2e-3)
    if count > 1:  # four strips and more are wider than long: the bed's width is one of their sides
        assert all(any(side == pytest.approx(1.2, abs=1e-3) for side in patch_sides(each)) for each in found)


@given(st.lists(st.floats(0.2, 2.0), min_size=1, max_size=4), st.floats(-180, 180), st.floats(1.0, 8.0))
def test_shares_have_their_areas_and_do_not_meet(areas, angle, length):
    bed = rectangle((0, 0), length_m=length, width_m=1.2, angle_deg=angle)
    found = slices(bed, [], areas)
    left = length * 1.2
    for wanted, parts in zip(areas, found, strict=True):
        assert area(parts) == pytest.approx(min(wanted, left), abs=0.01)
        left -= area(parts)
    every = [Polygon(part) for parts in found for part in parts]
    for at, one in enumerate(every):
        assert one.difference(Polygon(bed).buffer(1e-3)).area == pytest.approx(0, abs=1e-6)
        for other in every[at + 1 :]:
            assert one.intersection(other).area == pytest.approx(0, abs=2e-3)


def test_what_lies_between_parts_a_share_in_two():
    bed = rectangle((0, 0), length_m=5, width_m=1)
    taken = rectangle((2, 0), length_m=1, width_m=1)
    [first, second] = slices(bed, [taken], [3.0, 1.0])
    assert [Polygon(part).bounds for part in first] == [(0, 0, 2, 1), (3, 0, 4, 1)]
    assert [Polygon(part).bounds for part in second] == [(4, 0, 5, 1)]


def test_a_full_bed_has_nothing_left():
    bed = rectangle((0, 0), length_m=5, width_m=1)
    assert slices(bed, [bed], [1.0]) == [[]]
    assert area(slices(bed, [], [4.0, 4.0])[1]) == pytest.approx(1.0)


def test_something_in_the_middle_of_a_bed_is_gone_round():
    bed = rectangle((0, 0), length_m=6, width_m=3)
    hole = rectangle((2, 1), length_m=1, width_m=1)
    [parts] = slices(bed, [hole], [17.0])
    assert area(parts) == pytest.approx(17.0, abs=1e-3)
    assert all(
        Polygon(part).is_valid and Polygon(part).intersection(Polygon(hole)).area < 1e-6 for part in parts
    )
