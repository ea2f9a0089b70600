"""From steps to whole local days. Pure."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from schedules.forecast.reading import HOUR, Step

LONGEST_SPAN_H = 6
MOST_DAYS = 9
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class ForecastDay:
    """One local day: least and highest temperature [°C], rain [mm] and mean wind [m/s]; NaN is unknown."""

    day: date
    tmin_c: float
    tmax_c: float
    rain_mm: float
    wind_ms: float


def whole_days(steps: Sequence[Step], zone: ZoneInfo, *, most: int = MOST_DAYS) -> list[ForecastDay]:
    """Sum steps up by the days of a place.

    Parameters
    ----------
    steps : sequence of Step
        In order of time, as `read_steps` returns them.
    zone : ZoneInfo
        Whose midnights divide the days; a day may have 23 or 25 hours.
    most : int
        How many days at the most.

    Returns
    -------
    list of ForecastDay
        In order, only days that are covered from midnight to midnight by steps of six hours or less and
        whose least and highest temperature are known.

    Notes
    -----
    Instants count on the day they fall in, midnight on both its sides. Of a span of several hours the least
    and the highest temperature count on the day that holds at least half of it, and its rain is shared out
    by the hour. A day with a span of several hours that does not say its extremes is left out: instants six
    hours apart miss the coldest one.
    """
    if not steps:
        return []
    first, last = (step.at.astimezone(zone).date() for step in (steps[0], steps[-1]))
    wanted = (first + number * ONE_DAY for number in range((last - first).days + 1))
    found = [_day(steps, day, zone) for day in wanted]
    return [day for day in found if day is not None][:most]


def _day(steps: Sequence[Step], day: date, zone: ZoneInfo) -> ForecastDay | None:
    begins, ends = _midnight(day, zone), _midnight(day + ONE_DAY, zone)
    spans = [step for step in steps if step.at < ends and step.ends > begins]
    if not _is_covered(spans, begins, ends):
        return None
    temperatures = [step.air_c for step in steps if begins <= step.at <= ends]
    for step in spans:
        if step.hours > 1 and 2 * _overlap_h(step, begins, ends) >= step.hours:
            temperatures += [step.low_c, step.high_c]
    if any(map(math.isnan, temperatures)):
        return None
    hours = (ends - begins) / HOUR
    rain = sum(step.rain_mm * _overlap_h(step, begins, ends) / step.hours for step in spans)
    wind = sum(step.wind_ms * _overlap_h(step, begins, ends) for step in spans) / hours
    return ForecastDay(day, min(temperatures), max(temperatures), round(rain, 2), round(wind, 2))


def _is_covered(spans: Sequence[Step], begins: datetime, ends: datetime) -> bool:
    return (
        bool(spans)
        and spans[0].at <= begins
        and spans[-1].ends >= ends
        and all(step.hours <= LONGEST_SPAN_H for step in spans)
    )


def _overlap_h(step: Step, begins: datetime, ends: datetime) -> float:
    return (min(step.ends, ends) - max(step.at, begins)) / HOUR


def _midnight(day: date, zone: ZoneInfo) -> datetime:
    """Where a change of the clock skips midnight, the day begins at the change."""
    return datetime.combine(day, time(), zone).astimezone(UTC)
