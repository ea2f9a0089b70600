"""Local wall time to one instant, in every zone and on the nights that skip or repeat an hour."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

import pytest
import time_machine
from django.core.exceptions import ImproperlyConfigured

from society import clock

LONDON = "Europe/London"
YEARS = (2011,)  # Samoa and Tokelau leave out a whole day; later years are in test_change_nights.py
HOURS = (0, 2, 7)


@pytest.mark.parametrize(
    ("zone", "day", "hour", "minute", "utc"),
    [
        (LONDON, date(2026, 3, 29), 1, 30, datetime(2026, 3, 29, 1, 0, tzinfo=UTC)),  # skipped: 02:00 BST
        (LONDON, date(2026, 10, 25), 1, 30, datetime(2026, 10, 25, 0, 30, tzinfo=UTC)),  # repeated: the first
        (LONDON, date(2026, 3, 29), 7, 0, datetime(2026, 3, 29, 6, 0, tzinfo=UTC)),
        (LONDON, date(2026, 3, 28), 7, 0, datetime(2026, 3, 28, 7, 0, tzinfo=UTC)),
        (LONDON, date(2026, 10, 25), 7, 0, datetime(2026, 10, 25, 7, 0, tzinfo=UTC)),
        (LONDON, date(2028, 2, 29), 7, 0, datetime(2028, 2, 29, 7, 0, tzinfo=UTC)),
        ("Pacific/Auckland", date(2026, 4, 5), 2, 30, datetime(2026, 4, 4, 13, 30, tzinfo=UTC)),
        ("Pacific/Auckland", date(2026, 9, 27), 2, 30, datetime(2026, 9, 26, 14, 0, tzinfo=UTC)),
        ("Australia/Lord_Howe", date(2026, 10, 4), 2, 15, datetime(2026, 10, 3, 15, 30, tzinfo=UTC)),
        ("America/Santiago", date(2026, 9, 6), 0, 30, datetime(2026, 9, 6, 4, 0, tzinfo=UTC)),
        ("Asia/Kathmandu", date(2026, 6, 1), 7, 0, datetime(2026, 6, 1, 1, 15, tzinfo=UTC)),
    ],
)
def test_a_wall_time_is_one_instant(zone: str, day: date, hour: int, minute: int, utc: datetime) -> None:
    """Worked out by hand; the zones' offsets and days of change are from memory."""
    assert clock.instant_of(day, hour, ZoneInfo(zone), minute) == utc


@pytest.mark.parametrize("hour", HOURS)
def test_in_every_zone_every_date_has_one_instant_and_they_run_forward(hour: int) -> None:
    """Never backwards, at most 26 hours apart, and on its own date unless the zone leaves that date out."""
    astray = []
    for name in sorted(available_timezones()):
        zone = ZoneInfo(name)
        for year in YEARS:
            days = [date(year, 1, 1) + timedelta(days=offset) for offset in range(365)]
            instants = [clock.instant_of(day, hour, zone) for day in days]
            steps = [later - earlier for earlier, later in pairwise(instants)]
            if not all(timedelta(0) <= step <= timedelta(hours=26) for step in steps):
                astray.append((name, year, "order"))
            landed = {instant.astimezone(zone).date() for instant in instants}
            left_out = set(days) - landed
            if left_out - {date(2011, 12, 30)}:
                astray.append((name, year, left_out))
    assert astray == []


def test_the_days_that_are_left_out_are_those_of_samoa_and_tokelau() -> None:
    day = date(2011, 12, 30)
    without = {
        name
        for name in available_timezones()
        if clock.instant_of(day, 7, ZoneInfo(name)).astimezone(ZoneInfo(name)).date() != day
    }
    assert without == {"Pacific/Apia", "Pacific/Fakaofo"}


def test_a_pretended_day_is_that_day_everywhere(settings: Any) -> None:
    settings.PRETEND_TODAY = "2027-04-12"
    zones = [ZoneInfo("Pacific/Kiritimati"), ZoneInfo("Pacific/Niue")]
    assert [clock.today(zone) for zone in zones] == [date(2027, 4, 12)] * 2


def test_a_pretended_day_keeps_the_time_of_day(settings: Any) -> None:
    settings.PRETEND_TODAY = "2027-04-12"
    with time_machine.travel(datetime(2026, 11, 25, 23, 59, 30, tzinfo=UTC), tick=False):
        assert clock.now() == datetime(2027, 4, 12, 23, 59, 30, tzinfo=UTC)


def test_what_is_no_date_is_refused_by_name(settings: Any) -> None:
    settings.PRETEND_TODAY = "12/04/2027"
    with pytest.raises(ImproperlyConfigured, match="COMMONROW_TODAY"):
        clock.now()
