"""Sunset and sunrise beside pyephem 4.2.1, another library, for the whole of 2025.

pyephem: pressure 0, horizon -0:34, the sun's upper limb; its own horizon already counts the limb. Both leave
out hills and the height of the eye. 60 seconds are allowed: astral's day is known to be shorter by some 20
seconds at 52 and 30 at 58 degrees.
"""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import ephem
import pytest

from schedules.agronomy.evenings import night_ends, sunrise, sunset

PLACES = {
    "52 N 1 W": (52.0, -1.0, "Europe/London"),
    "58 N 4 W": (58.0, -4.0, "Europe/London"),
    "40 S 175 E": (-40.0, 175.0, "Pacific/Auckland"),
}


def ephem_sunset(latitude, longitude, day, zone):
    """The first setting after local noon."""
    observer = ephem.Observer()
    observer.lat, observer.lon = str(latitude), str(longitude)
    observer.elevation, observer.pressure, observer.horizon = 0, 0, "-0:34"
    noon = datetime.combine(day, time(12), zone).astimezone(UTC)
    observer.date = noon.replace(tzinfo=None)
    return observer.next_setting(ephem.Sun()).datetime().replace(tzinfo=UTC)


def ephem_sunrise(latitude, longitude, day, zone):
    """The last rising before local noon."""
    observer = ephem.Observer()
    observer.lat, observer.lon = str(latitude), str(longitude)
    observer.elevation, observer.pressure, observer.horizon = 0, 0, "-0:34"
    observer.date = datetime.combine(day, time(12), zone).astimezone(UTC).replace(tzinfo=None)
    return observer.previous_rising(ephem.Sun()).datetime().replace(tzinfo=UTC)


@pytest.mark.parametrize("place", PLACES)
def test_the_sun_sets_within_a_minute_of_another_library(place):
    latitude, longitude, name = PLACES[place]
    zone, worst = ZoneInfo(name), timedelta()
    for number in range(365):
        day = date(2025, 1, 1) + timedelta(days=number)
        ours = sunset(latitude, longitude, day, zone)
        assert ours is not None
        assert ours.astimezone(zone).date() == day
        worst = max(worst, abs(ours - ephem_sunset(latitude, longitude, day, zone)))
    print(place, worst)
    assert worst < timedelta(seconds=60)


@pytest.mark.parametrize("place", PLACES)
def test_the_sun_rises_within_a_minute_of_another_library(place):
    latitude, longitude, name = PLACES[place]
    zone, worst = ZoneInfo(name), timedelta()
    for number in range(365):
        day = date(2025, 1, 1) + timedelta(days=number)
        ours = sunrise(latitude, longitude, day, zone)
        assert ours is not None
        assert ours.astimezone(zone).date() == day
        worst = max(worst, abs(ours - ephem_sunrise(latitude, longitude, day, zone)))
    print(place, worst)
    assert worst < timedelta(seconds=60)


def test_a_night_without_a_sunrise_ends_by_the_clock():
    zone = ZoneInfo("Europe/Oslo")
    ends = night_ends(70.0, 25.0, date(2025, 12, 20), zone)
    assert ends == datetime(2025, 12, 21, 9, tzinfo=zone)


@pytest.mark.parametrize(
    ("place", "day", "clock"),
    [
        ("52 N 1 W", date(2025, 3, 21), "18:19:12"),
        ("52 N 1 W", date(2025, 12, 21), "15:54:28"),
        ("58 N 4 W", date(2025, 12, 21), "15:27:52"),
    ],
)
def test_the_sun_sets_within_a_minute_of_the_solar_position_algorithm(place, day, clock):
    """NREL's algorithm as pvlib 0.16.1 works it out (Reda and Andreas 2004), by universal time."""
    latitude, longitude, name = PLACES[place]
    ours = sunset(latitude, longitude, day, ZoneInfo(name))
    theirs = datetime.combine(day, time.fromisoformat(clock), UTC)
    assert abs(ours - theirs) < timedelta(seconds=60)


@pytest.mark.parametrize("day", [date(2025, 6, 21), date(2025, 12, 21)])
def test_beyond_the_polar_circle_there_are_days_without_a_sunset(day):
    """At 70 degrees north the sun stays up at midsummer and down at midwinter; pyephem says so too."""
    zone = ZoneInfo("Europe/Oslo")
    with pytest.raises((ephem.AlwaysUpError, ephem.NeverUpError)):
        ephem_sunset(70.0, 25.0, day, zone)
    assert sunset(70.0, 25.0, day, zone) is None
