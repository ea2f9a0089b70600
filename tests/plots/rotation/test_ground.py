"""Outlines and seasons that cannot be used are refused with what to mend."""

import math

import pytest
from shapely.geometry import MultiPolygon, Polygon

from plots.rotation import OutlineFault, outline_polygon
from plots.rotation.ground import outlines_checked
from tests.plots.rotation.ground import BED, box, use, wanted

NAN = math.nan
FAULTS = [
    ([], "bed 3: outline has 0 different corners; draw at least 3"),
    ([(0, 0), (1, 0)], "bed 3: outline has 2 different corners"),
    ([(0, 0), (1, 0), (0, 0), (1, 0)], "bed 3: outline has 2 different corners"),
    ([(0, 0), (1, 0), (2, 0)], "encloses no ground"),
    ([(0, 0), (2, 2), (2, 0), (0, 2)], "crosses or touches itself"),
    ([(0, 0), (3, 0), (1, 1), (2, -1)], "crosses or touches itself"),
    ([(0, 0), (NAN, 0), (1, 1)], "corner 2 is"),
    ([(0, 0), (1, 0), (1, math.inf)], "corner 3 is"),
    ([(0, 0), ("east", 0), (1, 1)], "give two numbers, x and y"),
    ([(0, 0), (1, 0, 5), (1, 1)], "give two numbers, x and y"),
    ([(0, 0), None, (1, 1)], "give two numbers, x and y"),
    (Polygon(), "give one polygon a patch"),
    (MultiPolygon([Polygon(BED)]), "give one polygon a patch"),
    (Polygon([(0, 0), (1, 0), (math.inf, 1)]), "has a corner that is no number"),
]


@pytest.mark.parametrize(("outline", "message"), FAULTS)
def test_an_outline_that_is_no_ground_is_refused(outline: object, message: str) -> None:
    with pytest.raises(OutlineFault) as fault:
        use(2024, on=outline, key="bed 3")  # type: ignore[arg-type]

    assert message in str(fault.value)


def test_a_wanted_outline_is_checked_too() -> None:
    with pytest.raises(OutlineFault, match="wanted: outline crosses"):
        wanted(on=[(0, 0), (2, 2), (2, 0), (0, 2)])


def test_the_first_corner_may_be_repeated_at_the_end() -> None:
    assert wanted(on=[*BED, BED[0]]).polygon.area == pytest.approx(4.8)


def test_corners_may_run_either_way_round() -> None:
    assert wanted(on=BED[::-1]).polygon.area == pytest.approx(4.8)


def test_a_use_that_ends_before_it_begins_is_refused() -> None:
    with pytest.raises(ValueError, match="bed 3: last_season 2020 is before first_season 2021"):
        use(2020, first=2021, key="bed 3")


def test_many_outlines_are_checked_as_one_by_one() -> None:
    outlines = [BED, BED[::-1], [*BED, BED[0]], box(0, 0, 1, 1)[:3]]

    many = outlines_checked(["a", "b", "c", "d"], outlines)

    assert [each.polygon for each in many] == [outline_polygon("one", outline) for outline in outlines]
    assert outlines_checked([], []) == []


@pytest.mark.parametrize(("outline", "message"), [fault for fault in FAULTS if isinstance(fault[0], list)])
def test_a_bad_outline_among_good_ones_is_named(outline: list, message: str) -> None:
    with pytest.raises(OutlineFault) as fault:
        outlines_checked(["bed 2", "bed 3", "bed 4"], [BED, outline, BED])

    assert str(fault.value).startswith("bed 3: outline ")
    assert message.removeprefix("bed 3: ") in str(fault.value)


def test_outlines_with_heights_are_refused_however_many_there_are() -> None:
    high = [(0, 0, 1), (1, 0, 1), (1, 1, 1)]

    with pytest.raises(OutlineFault, match=r"bed 3: outline corner 1 is .* give two numbers"):
        outlines_checked(["bed 3", "bed 4"], [high, high])


def test_an_outline_once_checked_is_taken_as_it_is() -> None:
    [checked] = outlines_checked(["bed 3"], [BED])

    assert use(2024, on=checked).polygon is checked.polygon  # type: ignore[arg-type]
