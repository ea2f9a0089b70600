"""Members' readings beside the site's own record: what a day counts, and what does not and why.

The rule, said once: what a weather file holds for a quantity and a day counts; where it holds nothing, the
reading made last; a reading that would put the day's minimum above the maximum of the file does not count.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import QuerySet

from plots.models import Site
from schedules.models import Reading
from schedules.weather_csv import WeatherRow

OF_THE_AIR = ("tmin_c", "tmax_c", "rain_mm")
NO_LINE = 0

Stored = Mapping[str, float | None]


@dataclass(frozen=True, slots=True)
class Counted:
    """What one day counts by quantity, and by reading why it does not count: 'file', 'later' or 'crossed'."""

    values: dict[str, float | None]
    read_by: dict[str, Reading]
    idle: dict[int, str]


def day_counted(stored: Stored, readings: Sequence[Reading]) -> Counted:
    """Put a day together from what a file holds and what was read, the oldest reading first."""
    values = {name: stored.get(name) for name in OF_THE_AIR}
    read_by: dict[str, Reading] = {}
    idle: dict[int, str] = {}
    for reading in reversed(readings):
        name = reading.quantity
        if name not in OF_THE_AIR:
            continue
        if stored.get(name) is not None:
            idle[reading.pk] = "file"
        elif name in read_by:
            idle[reading.pk] = "later"
        elif _crosses(name, reading.value, values):
            idle[reading.pk] = "crossed"
        else:
            values[name], read_by[name] = reading.value, reading
    return Counted(values, read_by, idle)


def _crosses(name: str, value: float, values: Stored) -> bool:
    low = value if name == "tmin_c" else values["tmin_c"]
    high = value if name == "tmax_c" else values["tmax_c"]
    return name != "rain_mm" and low is not None and high is not None and low > high


def readings_standing(site: Site) -> QuerySet[Reading]:
    """Readings that were not withdrawn, in the order in which they were made."""
    return Reading.objects.filter(site=site, withdrawn_at__isnull=True).order_by("day", "made_at", "pk")


def with_readings(site: Site, rows: Iterable[WeatherRow], *, before: date | None = None) -> list[WeatherRow]:
    """The days of a record, oldest first, with what members read where it holds nothing. One query."""
    known = list(rows)
    readings = readings_standing(site).filter(quantity__in=OF_THE_AIR)
    if before is not None:
        readings = readings.filter(day__lt=before)
    by_day: dict[date, list[Reading]] = defaultdict(list)
    for reading in readings:
        by_day[reading.day].append(reading)
    if not by_day:
        return known
    days = {row.date: row for row in known}
    for day, read in by_day.items():
        row = days.get(day) or WeatherRow(NO_LINE, day, None, None, None, None)
        found = day_counted({name: getattr(row, name) for name in OF_THE_AIR}, read).values
        days[day] = replace(row, tmin_c=found["tmin_c"], tmax_c=found["tmax_c"], rain_mm=found["rain_mm"])
    return [days[day] for day in sorted(days)]
