"""Local date and hour to one instant: every zone over ten years, and the nights of 2026 by hand."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from importlib.resources import files
from itertools import pairwise
from zoneinfo import ZoneInfo, available_timezones

import pytest

from society import clock

FIRST, LAST = date(2020, 1, 1), date(2029, 12, 31)
DAYS = [FIRST + timedelta(days=at) for at in range((LAST - FIRST).days + 1)]
USUAL_HOUR = 7
LONGEST_GAP = timedelta(hours=3)  # Casey in Antarctica moved by three hours
LONDON, NEW_YORK, LORD_HOWE = "Europe/London", "America/New_York", "Australia/Lord_Howe"


def zones() -> list[ZoneInfo]:
    """Every zone once; many names are other words for the same."""
    by_content: dict[bytes, str] = {}
    for name in sorted(available_timezones()):
        file = files("tzdata").joinpath("zoneinfo", *name.split("/"))
        # The machine may know names of its own besides.
        by_content.setdefault(file.read_bytes() if file.is_file() else name.encode(), name)
    return [ZoneInfo(name) for name in by_content.values()]


def walls(zone: ZoneInfo) -> Iterator[datetime]:
    """Seven o'clock on every day, and every hour of the days around each change of the offset."""
    offsets = [datetime(day.year, day.month, day.day, 12, tzinfo=zone).utcoffset() for day in DAYS]
    near: set[int] = set()
    for at, (before, after) in enumerate(pairwise(offsets)):
        if before != after:
            near |= {at, at + 1, at + 2}
    for at, day in enumerate(DAYS):
        for hour in range(24) if at in near else (USUAL_HOUR,):
            yield datetime(day.year, day.month, day.day, hour)  # noqa: DTZ001 - a wall time


def exists(wall: datetime, zone: ZoneInfo) -> bool:
    return wall.replace(tzinfo=zone).astimezone(UTC).astimezone(zone).replace(tzinfo=None) == wall


def faults(zone: ZoneInfo) -> Iterator[str]:
    last: tuple[datetime, datetime] | None = None
    for wall in walls(zone):
        instant = clock.instant_of(wall.date(), wall.hour, zone)
        local = instant.astimezone(zone)
        there = local.replace(tzinfo=None, fold=0)
        if there == wall and local.fold:
            yield f"{zone.key} {wall}: {instant} is not the first time that it comes"
        if there != wall and exists(wall, zone):
            yield f"{zone.key} {wall}: {instant} is {there} there"
        if there != wall and not wall < there <= wall + LONGEST_GAP:
            yield f"{zone.key} {wall}: skipped, and {instant} is not just after the gap"
        if last is not None and instant < last[1]:
            yield f"{zone.key} {wall}: {instant} lies before that of {last[0]}"
        last = (wall, instant)


def test_every_zone_has_one_instant_a_date_and_hour_and_they_run_forward() -> None:
    everywhere = zones()
    assert len(everywhere) > 250
    assert [fault for zone in everywhere for fault in faults(zone)] == []


@pytest.mark.parametrize(
    ("zone", "wall", "utc"),
    [
        # London: on 29 March 01:00 GMT becomes 02:00 BST, on 25 October 02:00 BST becomes 01:00 GMT.
        (LONDON, "2026-03-29 00:30", "2026-03-29 00:30"),
        (LONDON, "2026-03-29 01:30", "2026-03-29 01:00"),  # skipped: 02:00 BST
        (LONDON, "2026-03-29 02:30", "2026-03-29 01:30"),
        (LONDON, "2026-10-25 00:30", "2026-10-24 23:30"),
        (LONDON, "2026-10-25 01:30", "2026-10-25 00:30"),  # repeated: the first, still BST
        (LONDON, "2026-10-25 02:30", "2026-10-25 02:30"),
        # New York: on 8 March 02:00 EST becomes 03:00 EDT, on 1 November 02:00 EDT becomes 01:00 EST.
        (NEW_YORK, "2026-03-08 01:30", "2026-03-08 06:30"),
        (NEW_YORK, "2026-03-08 02:30", "2026-03-08 07:00"),  # skipped: 03:00 EDT
        (NEW_YORK, "2026-03-08 03:30", "2026-03-08 07:30"),
        (NEW_YORK, "2026-11-01 00:30", "2026-11-01 04:30"),
        (NEW_YORK, "2026-11-01 01:30", "2026-11-01 05:30"),  # repeated: the first, still EDT
        (NEW_YORK, "2026-11-01 02:30", "2026-11-01 07:30"),
        # Lord Howe moves by half an hour: on 5 April 02:00 (+11) becomes 01:30 (+10:30), on 4 October
        # 02:00 (+10:30) becomes 02:30 (+11).
        (LORD_HOWE, "2026-04-05 01:15", "2026-04-04 14:15"),
        (LORD_HOWE, "2026-04-05 01:45", "2026-04-04 14:45"),  # repeated: the first
        (LORD_HOWE, "2026-04-05 02:15", "2026-04-04 15:45"),
        (LORD_HOWE, "2026-10-04 01:45", "2026-10-03 15:15"),
        (LORD_HOWE, "2026-10-04 02:15", "2026-10-03 15:30"),  # skipped: 02:30
        (LORD_HOWE, "2026-10-04 02:45", "2026-10-03 15:45"),
    ],
)
def test_the_nights_of_2026(zone: str, wall: str, utc: str) -> None:
    """Worked out by hand from the rules of change, which are from memory."""
    local = datetime.fromisoformat(wall)
    instant = clock.instant_of(local.date(), local.hour, ZoneInfo(zone), local.minute)
    assert instant == datetime.fromisoformat(utc).replace(tzinfo=UTC)
