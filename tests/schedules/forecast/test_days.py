"""From steps to whole local days, with the nights on which the clock changes."""

import json
import math
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from schedules.forecast.days import ForecastDay, whole_days
from schedules.forecast.reading import read_steps
from tests.schedules.forecast.answers import HOUR, document, entry

LONDON, HOBART, ADELAIDE = map(ZoneInfo, ("Europe/London", "Australia/Hobart", "Australia/Adelaide"))


def days(start: datetime, zone: ZoneInfo, **fields: Any) -> dict[date, ForecastDay]:
    steps = read_steps(json.dumps(document(start, **fields)).encode())
    return {day.day: day for day in whole_days(steps, zone)}


def only_at(when: datetime, value: float, other: float) -> Callable[[datetime], float]:
    return lambda at: value if at == when else other


def test_only_whole_days_are_summed_up_nine_at_the_most() -> None:
    found = days(datetime(2027, 1, 10, 9, tzinfo=UTC), LONDON)
    assert list(found) == [date(2027, 1, 11) + timedelta(days=ahead) for ahead in range(9)]


def test_a_day_of_hours_is_summed_up() -> None:
    start = datetime(2027, 1, 10, tzinfo=UTC)
    found = days(
        start, LONDON, hourly=24, six_hourly=0,
        air_c=lambda at: float(at.hour), wind_ms=lambda at: 1.0 if at.hour < 12 else 4.0,
        rain_mm=lambda at: 0.25,
    )  # fmt: skip
    assert found == {date(2027, 1, 10): ForecastDay(date(2027, 1, 10), 0.0, 23.0, 6.0, 2.5)}


def test_the_coldest_moment_between_instants_six_hours_apart_counts() -> None:
    """Six-hourly instants alone would miss a minimum at 04:00."""
    cold = datetime(2027, 1, 11, 4, tzinfo=UTC)
    found = days(
        datetime(2027, 1, 10, tzinfo=UTC), LONDON, hourly=24, six_hourly=4, air_c=only_at(cold, -6, 3)
    )
    assert (found[date(2027, 1, 11)].tmin_c, found[date(2027, 1, 11)].tmax_c) == (-6, 3)


def test_a_day_of_six_hourly_steps_that_do_not_say_their_extremes_is_left_out() -> None:
    """So the service's smaller answer gives no days beyond its hours."""
    answer = document(datetime(2027, 1, 10, tzinfo=UTC), hourly=24, six_hourly=8)
    for step in answer["properties"]["timeseries"][24:-1]:
        del step["data"]["next_6_hours"]["details"]["air_temperature_min"]
    assert [day.day for day in whole_days(read_steps(json.dumps(answer).encode()), LONDON)] == [
        date(2027, 1, 10)
    ]


def test_unknown_rain_or_wind_leaves_the_day_its_temperatures() -> None:
    answer = document(datetime(2027, 1, 10, tzinfo=UTC), hourly=24, six_hourly=0)
    del answer["properties"]["timeseries"][5]["data"]["next_1_hours"]
    del answer["properties"]["timeseries"][6]["data"]["instant"]["details"]["wind_speed"]
    [day] = whole_days(read_steps(json.dumps(answer).encode()), LONDON)
    assert (day.tmin_c, math.isnan(day.rain_mm), math.isnan(day.wind_ms)) == (10, True, True)


def test_a_gap_of_more_than_six_hours_breaks_the_day() -> None:
    answer = document(datetime(2027, 1, 10, tzinfo=UTC), hourly=48, six_hourly=0)
    del answer["properties"]["timeseries"][30:37]
    found = whole_days(read_steps(json.dumps(answer).encode()), LONDON)
    assert [day.day for day in found] == [date(2027, 1, 10)]


@pytest.mark.parametrize(
    ("day", "hours"),
    # The European Union's and the United Kingdom's clocks change on the last Sundays of March and October.
    [(date(2027, 3, 27), 24), (date(2027, 3, 28), 23), (date(2027, 10, 31), 25)],
)
def test_the_day_of_a_clock_change_has_its_own_length(day: date, hours: int) -> None:
    """One millimetre an hour counts the hours; the published days of change are in the tz database."""
    start = datetime(day.year, day.month, day.day, tzinfo=UTC) - 6 * HOUR
    found = days(start, LONDON, hourly=40, six_hourly=0, rain_mm=lambda at: 1.0)
    assert found[day].rain_mm == hours


def test_a_summer_midnight_parts_the_days_not_that_of_utc() -> None:
    """23:30 UTC in July is half past midnight of the next day in London."""
    late = datetime(2027, 7, 1, 23, tzinfo=UTC)
    found = days(
        datetime(2027, 6, 30, 22, tzinfo=UTC), LONDON, hourly=60, six_hourly=0, rain_mm=only_at(late, 5, 0)
    )
    assert (found[date(2027, 7, 1)].rain_mm, found[date(2027, 7, 2)].rain_mm) == (0, 5)


def test_six_hours_across_midnight_share_their_rain_by_the_hour() -> None:
    """In July London's day begins at 23:00 UTC: one of the six hours from 18:00 belongs to the next day."""
    start = datetime(2027, 7, 1, 18, tzinfo=UTC)
    wet = lambda at: 1.0 if start <= at < start + 6 * HOUR else 0.0  # noqa: E731
    found = days(datetime(2027, 6, 30, 18, tzinfo=UTC), LONDON, hourly=0, six_hourly=12, rain_mm=wet)
    assert (found[date(2027, 7, 1)].rain_mm, found[date(2027, 7, 2)].rain_mm) == (5, 1)


def test_the_south_has_its_own_days() -> None:
    """Hobart is ten hours ahead in June: its day begins at 14:00 UTC of the day before."""
    start = datetime(2027, 6, 9, 14, tzinfo=UTC)
    frost = datetime(2027, 6, 9, 20, tzinfo=UTC)  # six in the morning of the 10th
    found = days(start, HOBART, hourly=24, six_hourly=0, air_c=only_at(frost, -3, 8))
    assert list(found) == [date(2027, 6, 10)]
    assert found[date(2027, 6, 10)].tmin_c == -3


def test_a_zone_of_half_hours_shares_the_hour_that_holds_midnight() -> None:
    start = datetime(2027, 6, 9, tzinfo=UTC)
    found = days(start, ADELAIDE, hourly=72, six_hourly=0, rain_mm=lambda at: 1.0)
    assert {day.rain_mm for day in found.values()} == {24.0}


def test_southern_clocks_change_in_october() -> None:
    """Tasmania goes forward on the first Sunday of October: 3 October 2027."""
    start = datetime(2027, 10, 1, tzinfo=UTC)
    found = days(start, HOBART, hourly=90, six_hourly=0, rain_mm=lambda at: 1.0)
    assert (found[date(2027, 10, 2)].rain_mm, found[date(2027, 10, 3)].rain_mm) == (24, 23)


def test_where_the_change_skips_midnight_the_day_begins_at_the_change() -> None:
    """Chile's clocks go from 24:00 to 01:00 in September (tz database, America/Santiago)."""
    zone = ZoneInfo("America/Santiago")
    lengths = {
        day: round(found.rain_mm)
        for day, found in days(
            datetime(2027, 9, 3, tzinfo=UTC), zone, hourly=90, six_hourly=0, rain_mm=lambda at: 1.0
        ).items()
    }
    assert lengths == {date(2027, 9, 3): 24, date(2027, 9, 4): 24, date(2027, 9, 5): 23}


def test_nothing_comes_of_nothing() -> None:
    bare = {
        "properties": {"meta": {"units": {}}, "timeseries": [entry(datetime(2027, 1, 1, tzinfo=UTC), 1.0)]}
    }
    assert whole_days((), LONDON) == []
    assert whole_days(read_steps(json.dumps(bare).encode()), LONDON) == []
