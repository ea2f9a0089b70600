"""A sowing set late keeps to one season: no window may straddle the winter between its members."""

from datetime import date

import pytest

from schedules.planner import Kind
from tests.schedules.planner.climates import done, planned, request

KEPT = {Kind.STORE, Kind.STORE_CHECK, Kind.RESOW, Kind.WATER}
# The windows that were wrong were of 150 to 350 days.
WIDEST_DAYS = 150
LATE = [date(2027, 7, 20), date(2027, 8, 20), date(2027, 9, 18), date(2027, 10, 5)]
PLACES = [{}, {"mean_c": 5.0}, {"mean_c": 8.0, "half_range_c": 5.0}, {"mean_c": 9.0, "half_range_c": 14.0}]


@pytest.mark.parametrize("wave", PLACES)
@pytest.mark.parametrize("key", ["pea", "hamburg-parsley", "cucumber", "winter-squash", "sweetcorn", "leek"])
def test_no_window_of_a_late_sowing_straddles_the_winter(key, wave):
    for day in LATE:
        asked = request(key, sow_on=day, not_before=date(2027, 7, 15))
        for each in planned(asked, today=date(2027, 7, 15), **wave).jobs:
            width = (each.window.by - each.window.start).days
            assert each.kind in KEPT or width <= WIDEST_DAYS, (day, each.kind, each.window)


def test_peas_of_july_belong_to_their_summer_and_those_of_november_to_the_next():
    july, november = (
        planned(request("pea"), record={"s1/sow": done(day)}, today=date(2027, 12, 1))
        for day in (date(2027, 7, 20), date(2027, 11, 5))
    )
    lifted = [next(each for each in answer.jobs if each.kind == "lift") for answer in (july, november)]
    assert [each.window.best.year for each in lifted] == [2027, 2028]
