from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from schedules.agronomy.evenings import NO_HOURS, Hours, evening_of, night_of

LONDON = ZoneInfo("Europe/London")
TODAY = date(2027, 6, 10)
BEGINS = datetime(2027, 6, 10, 0, tzinfo=UTC)


def hours(count=48, begins=BEGINS, **values):
    arrays = {"air_c": 12.0, "wind_ms": 1.0, "rain_mm": 0.0} | values
    at = tuple(begins + timedelta(hours=each) for each in range(count))
    return Hours(at, **{name: np.broadcast_to(value, count).copy() for name, value in arrays.items()})


def evening(told, **place):
    where = {"latitude_deg": 52.0, "longitude_deg": -1.0, "zone": LONDON, "today": TODAY} | place
    return evening_of(told, **where)


def test_the_three_hours_before_sunset_are_summed_up():
    # The sun sets near 20:26 UTC: the hours that begin at 18, 19 and 20 o'clock.
    told = hours(wind_ms=np.arange(48.0), rain_mm=np.where(np.arange(48) == 19, 0.6, 0.0))
    found = evening(told)
    assert found.wind_ms == pytest.approx(19.0)
    assert found.rain_mm == pytest.approx(0.6)
    assert found.sunset is not None
    assert found.ends - found.begins == timedelta(hours=3)


def test_a_missing_hour_leaves_the_evening_unknown():
    told = hours()
    keep = [index for index in range(48) if index != 19]
    gap = Hours(tuple(told.at[i] for i in keep), told.air_c[keep], told.wind_ms[keep], told.rain_mm[keep])
    assert evening(gap).wind_ms is None
    told.wind_ms[19] = np.nan
    assert evening(told).wind_ms is None
    assert evening(told).rain_mm == 0.0


def test_no_forecast_leaves_all_unknown():
    found = evening(NO_HOURS)
    assert (found.wind_ms, found.rain_mm, found.air_c) == (None, None, None)
    assert night_of(NO_HOURS, zone=LONDON, today=TODAY).lowest_c is None


def test_without_a_sunset_the_clock_tells_the_evening():
    oslo = ZoneInfo("Europe/Oslo")
    found = evening(hours(), latitude_deg=70.0, longitude_deg=25.0, zone=oslo, today=date(2027, 6, 10))
    assert found.sunset is None
    assert found.begins.astimezone(oslo).hour == 18
    assert found.ends.astimezone(oslo).hour == 21
    assert found.wind_ms == 1.0


def test_the_night_runs_from_six_to_nine_by_the_clock():
    air = np.full(48, 9.0)
    air[16] = -5.0  # five in the afternoon, before the night
    air[28] = 1.5
    found = night_of(hours(air_c=air), zone=LONDON, today=TODAY)
    assert found.lowest_c == 1.5
    assert found.is_whole
    assert (found.ends - found.begins) == timedelta(hours=15)


def test_a_night_that_the_forecast_does_not_reach_through_is_not_whole():
    found = night_of(hours(count=24), zone=LONDON, today=TODAY)
    assert found.lowest_c == 12.0
    assert not found.is_whole
    assert found.mean_c is None


@pytest.mark.parametrize(("day", "length"), [(date(2027, 3, 27), 14), (date(2027, 10, 30), 16)])
def test_a_night_in_which_the_clock_changes_is_an_hour_longer_or_shorter(day, length):
    told = hours(begins=datetime(day.year, day.month, day.day, tzinfo=UTC))
    found = night_of(told, zone=LONDON, today=day)
    assert found.ends - found.begins == timedelta(hours=length)
    assert found.is_whole


def test_the_wind_of_the_coldest_hour_is_kept():
    air, wind = np.full(48, 9.0), np.full(48, 2.0)
    air[28], wind[28] = -1.0, 6.0
    assert night_of(hours(air_c=air, wind_ms=wind), zone=LONDON, today=TODAY).wind_at_lowest_ms == 6.0
    wind[28] = np.nan
    assert night_of(hours(air_c=air, wind_ms=wind), zone=LONDON, today=TODAY).wind_at_lowest_ms is None


def test_hours_of_unlike_length_are_refused():
    with pytest.raises(ValueError, match="wind_ms"):
        Hours((BEGINS,), np.zeros(1), np.zeros(2), np.zeros(1))


def test_times_that_do_not_rise_are_refused():
    with pytest.raises(ValueError, match="rise"):
        Hours((BEGINS, BEGINS), np.zeros(2), np.zeros(2), np.zeros(2))


@pytest.mark.parametrize("at", [BEGINS.replace(tzinfo=None), BEGINS.astimezone(timezone(timedelta(hours=1)))])
def test_times_that_are_not_in_universal_time_are_refused(at):
    with pytest.raises(ValueError, match="UTC"):
        Hours((at,), np.zeros(1), np.zeros(1), np.zeros(1))
