"""Places whose summer is hardly warmer than what an autumn planting waits for."""

from datetime import date

from tests.schedules.planner.climates import planned, request

COOL = {"mean_c": 6.0, "half_range_c": 4.0}


def test_garlic_waits_for_autumn_where_summer_is_cool():
    """Summer never passes the 10 °C of soil that garlic waits for; it is an autumn planting all the same."""
    sow = planned(request("garlic"), **COOL).sow
    assert sow.start >= date(2027, 9, 15)
    assert sow.best.month in {10, 11}


def test_garlic_is_not_planted_later_where_summer_is_warm():
    cool, warm = (planned(request("garlic"), mean_c=10.0, half_range_c=each).sow.best for each in (6.0, 9.0))
    assert abs((cool - warm).days) < 14


def test_garlic_goes_in_before_the_ground_freezes_where_winters_are_hard():
    sow = planned(request("garlic"), mean_c=-3.0, half_range_c=19.0).sow
    assert sow is not None
    assert sow.best.month in {9, 10}
