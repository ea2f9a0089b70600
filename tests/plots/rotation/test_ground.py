"""Outlines and seasons that cannot be used are refused with what to mend."""

import math

import pytest
from shapely.geometry import MultiPolygon, Polygon

from plots.rotation import OutlineFault
from tests.plots.rotation.ground import BED, use, wanted

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
