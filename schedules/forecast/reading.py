"""From the bytes of an answer to steps. Pure: no network, no clock, no database.

The shape is the service's own (https://api.met.no/doc/ForecastJSON): a GeoJSON Feature whose
``properties.timeseries`` holds instants in rising order, hourly at first and six-hourly later, each with
``instant.details`` and, while enough of the forecast is left, ``next_1_hours`` and ``next_6_hours``.
"""

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any

MOST_STEPS = 1000
HOUR = timedelta(hours=1)
UNITS = {"air_temperature": "celsius", "wind_speed": "m/s", "precipitation_amount": "mm"}
# Wider than any reading on record (WMO archive of weather extremes), to tell numbers from nonsense.
AIR_C, WIND_MS, RAIN_MM, HUMIDITY_PCT = (-95.0, 65.0), (0.0, 150.0), (0.0, 2000.0), (0.0, 110.0)
NAN = math.nan


class Unreadable(ValueError):
    """An answer that is not of the agreed shape; says where and what."""


@dataclass(frozen=True, slots=True)
class Step:
    """One instant and the span until the next.

    ``at`` in UTC; ``hours`` to the next step, 0 for the last; ``air_c`` [°C], ``wind_ms`` [m/s] at 10 m and
    ``humidity_pct`` [%] at the instant; ``rain_mm`` [mm], ``low_c`` and ``high_c`` [°C] over the span. What
    the service left out is NaN.
    """

    at: datetime
    hours: int
    air_c: float
    wind_ms: float
    humidity_pct: float
    rain_mm: float
    low_c: float
    high_c: float

    @property
    def ends(self) -> datetime:
        return self.at + self.hours * HOUR


def read_steps(body: bytes) -> tuple[Step, ...]:
    """Return the steps of an answer in order of time.

    Parameters
    ----------
    body : bytes
        The answer, UTF-8 JSON, no longer compressed.

    Raises
    ------
    Unreadable
        When it is no JSON, not of the agreed shape, in other units, out of order, or holds a number that
        cannot be true. Nothing of such an answer is to be used.
    """
    properties = _within(_document(body), "properties")
    units = _within(_within(properties, "meta"), "units")
    for name, unit in UNITS.items():
        if units.get(name, unit) != unit:
            raise Unreadable(f"units.{name}: {units[name]!r}, and {unit!r} was agreed")
    series = properties.get("timeseries")
    if not isinstance(series, list) or not series:
        raise Unreadable("properties.timeseries: holds no hours")
    if len(series) > MOST_STEPS:
        raise Unreadable(f"properties.timeseries: {len(series)} steps are more than {MOST_STEPS}")
    times = [_time(entry, f"timeseries[{at}]") for at, entry in enumerate(series)]
    spans = [_whole_hours(at, here, onward) for at, (here, onward) in enumerate(pairwise(times))]
    steps = [_step(series[at], at, times[at], hours) for at, hours in enumerate([*spans, 0])]
    if all(math.isnan(step.air_c) for step in steps):
        raise Unreadable("properties.timeseries: no step has an air_temperature")
    return tuple(steps)


def hours_of(steps: tuple[Step, ...]) -> list[Step]:
    """Return the steps of one hour whose temperature is known."""
    return [step for step in steps if step.hours == 1 and not math.isnan(step.air_c)]


def _document(body: bytes) -> Mapping[str, Any]:
    try:
        document = json.loads(body.decode("utf-8"), parse_constant=_no_constant)
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError) as fault:
        raise Unreadable("the answer is no JSON") from fault
    if not isinstance(document, dict):
        raise Unreadable("the answer is no JSON object")
    return document


def _no_constant(name: str) -> float:
    raise Unreadable(f"the answer holds {name}, which is no number")


def _within(holder: Mapping[str, Any], name: str) -> Mapping[str, Any]:
    inner = holder.get(name)
    if not isinstance(inner, dict):
        raise Unreadable(f"{name}: is missing")
    return inner


def _time(entry: Any, where: str) -> datetime:
    written = entry.get("time") if isinstance(entry, dict) else None
    try:
        at = datetime.fromisoformat(str(written))
    except ValueError as fault:
        raise Unreadable(f"{where}.time: {written!r} is no time") from fault
    if at.utcoffset() != timedelta():
        raise Unreadable(f"{where}.time: {written!r} is not in UTC")
    return at.astimezone(UTC)


def _whole_hours(index: int, here: datetime, onward: datetime) -> int:
    span = (onward - here) / HOUR
    if span < 1 or span != int(span):
        raise Unreadable(f"timeseries[{index}]: the next step does not follow it by whole hours")
    return int(span)


def _step(entry: Mapping[str, Any], index: int, at: datetime, hours: int) -> Step:
    where = f"timeseries[{index}]"
    data = _within(entry, "data")
    instant = _details(data.get("instant"))
    period = _details(data.get(f"next_{hours}_hours"))
    return Step(
        at=at,
        hours=hours,
        air_c=_number(instant, "air_temperature", AIR_C, where),
        wind_ms=_number(instant, "wind_speed", WIND_MS, where),
        humidity_pct=_number(instant, "relative_humidity", HUMIDITY_PCT, where),
        rain_mm=_number(period, "precipitation_amount", RAIN_MM, where),
        low_c=_number(period, "air_temperature_min", AIR_C, where),
        high_c=_number(period, "air_temperature_max", AIR_C, where),
    )


def _details(part: Any) -> Mapping[str, Any]:
    """Return what the part says in detail; nothing where the part or its details are left out."""
    details = part.get("details") if isinstance(part, dict) else None
    return details if isinstance(details, dict) else {}


def _number(details: Mapping[str, Any], name: str, bounds: tuple[float, float], where: str) -> float:
    value = details.get(name)
    if value is None:
        return NAN
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise Unreadable(f"{where}.{name}: {value!r} is no number")
    least, most = bounds
    if not least <= value <= most:
        raise Unreadable(f"{where}.{name}: {value} lies outside {least:g} to {most:g}")
    return float(value)
