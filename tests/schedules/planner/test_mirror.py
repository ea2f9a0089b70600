"""A southern site under the same weather half a year later has the same plan half a year later."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from plots.crops import crops
from tests.schedules.planner.climates import NORTH, SOUTH, planned, request

HALF_YEAR = timedelta(days=182)
# The invented climate is warmest on 25 July and 24 January, 182 days apart or 183; the longest days are 183.
CLOSE = 4
NORTHERN_DAY = date(2027, 2, 1)
MIRRORED = replace(SOUTH, latitude=-NORTH.latitude, insects=frozenset())


def dates(key, site, today, **wave):
    answer = planned(request(key, not_before=today), site=site, today=today, **wave)
    jobs = {each.key: each.window for each in answer.jobs}
    return answer.sow, answer.emergence, jobs


def assert_half_a_year_apart(north, south):
    for part in ("start", "best", "by"):
        apart = getattr(south, part) - getattr(north, part) - HALF_YEAR
        assert abs(apart.days) <= CLOSE, (north, south)


@pytest.mark.parametrize("mean_c", [9.0, 11.0, 18.0])
@pytest.mark.parametrize("grown", crops(), ids=lambda each: each.key)
def test_a_mirrored_site_has_the_mirrored_plan(grown, mean_c):
    north = dates(grown.key, replace(NORTH, insects=frozenset()), NORTHERN_DAY, mean_c=mean_c)
    south = dates(grown.key, MIRRORED, NORTHERN_DAY + HALF_YEAR, mean_c=mean_c)
    assert (north[0] is None) == (south[0] is None)
    if north[0] is None:
        return
    assert_half_a_year_apart(north[0], south[0])
    assert north[2].keys() == south[2].keys()
    # Two jobs a day apart may change places, and each then waits for the other.
    is_same_order = list(north[2]) == list(south[2])
    for key, window in north[2].items():
        if is_same_order or key in {"s1/sow", "s1/lift"}:
            assert_half_a_year_apart(window, south[2][key])
