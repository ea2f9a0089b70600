"""Answers of the documented shape.

The shape is that of https://api.met.no/doc/ForecastJSON (the excerpt there, and its words on intervals):
hourly instants with `next_1_hours`, then six-hourly ones with `next_6_hours`, the last one bare. The
figures are invented.
"""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from typing import Any

HOUR = timedelta(hours=1)
UNITS = {
    "air_temperature": "celsius",
    "air_temperature_max": "celsius",
    "air_temperature_min": "celsius",
    "precipitation_amount": "mm",
    "relative_humidity": "%",
    "wind_from_direction": "degrees",
    "wind_speed": "m/s",
}


def entry(at: datetime, air_c: float, *, wind_ms: float = 2.0, **periods: dict[str, float]) -> dict[str, Any]:
    """One step; a period is given as next_1_hours={"precipitation_amount": 0.2}."""
    instant = {"air_temperature": air_c, "wind_speed": wind_ms, "relative_humidity": 80.0}
    data: dict[str, Any] = {"instant": {"details": {**instant, "wind_from_direction": 210.9}}}
    for name, details in periods.items():
        data[name] = {"summary": {"symbol_code": "cloudy"}, "details": details}
    return {"time": f"{at:%Y-%m-%dT%H:%M:%SZ}", "data": data}


def document(
    start: datetime,
    *,
    hourly: int = 60,
    six_hourly: int = 30,
    air_c: Callable[[datetime], float] = lambda at: 10.0,
    wind_ms: Callable[[datetime], float] = lambda at: 2.0,
    rain_mm: Callable[[datetime], float] = lambda at: 0.0,
) -> dict[str, Any]:
    """A whole answer from an hour on; the extremes of six hours are those of their hours."""
    series = []
    for number in range(hourly):
        at = start + number * HOUR
        rain = {"precipitation_amount": rain_mm(at)}
        series.append(entry(at, air_c(at), wind_ms=wind_ms(at), next_1_hours=rain))
    for number in range(six_hourly):
        at = start + (hourly + 6 * number) * HOUR
        within = [at + hour * HOUR for hour in range(7)]
        period = {
            "precipitation_amount": sum(rain_mm(hour) for hour in within[:6]),
            "air_temperature_min": min(map(air_c, within)),
            "air_temperature_max": max(map(air_c, within)),
        }
        series.append(entry(at, air_c(at), wind_ms=wind_ms(at), next_6_hours=period))
    last = start + (hourly + 6 * six_hourly) * HOUR
    series.append(entry(last, air_c(last), wind_ms=wind_ms(last)))
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": [-1.0, 52.0, 40]},
        "properties": {
            "meta": {"updated_at": f"{start:%Y-%m-%dT%H:%M:%SZ}", "units": dict(UNITS)},
            "timeseries": series,
        },
    }


def body(start: datetime, **fields: Any) -> bytes:
    return json.dumps(document(start, **fields)).encode()


def http_date(at: datetime) -> str:
    return format_datetime(at.astimezone(UTC), usegmt=True)
