"""From rows to the arrays that agronomy works on."""

from collections.abc import Sequence
from datetime import timedelta

import numpy as np

from schedules.agronomy.climate import DailyWeather, Normals
from schedules.weather_csv.rows import NormalRow, WeatherRow

QUANTITIES = ("tmin_c", "tmax_c", "rain_mm", "wind_ms")


def daily(rows: Sequence[WeatherRow]) -> DailyWeather:
    """Days without a gap from the first to the last; NaN where a day or a value is absent.

    Raises
    ------
    ValueError
        Without any row, since there is then no first day.
    """
    if not rows:
        raise ValueError("no weather rows: there is no first day to begin at")
    first = min(row.date for row in rows)
    length = (max(row.date for row in rows) - first + timedelta(days=1)).days
    series = {quantity: np.full(length, np.nan) for quantity in QUANTITIES}
    for row in rows:
        at = (row.date - first).days
        for quantity in QUANTITIES:
            value = getattr(row, quantity)
            series[quantity][at] = np.nan if value is None else value
    return DailyWeather(first, **series)


def normals(rows: Sequence[NormalRow]) -> Normals:
    """Twelve months from January; NaN where rain or wind was left out.

    Raises
    ------
    ValueError
        Unless every month is there exactly once.
    """
    ordered = sorted(rows, key=lambda row: row.month)
    if [row.month for row in ordered] != list(range(1, 13)):
        raise ValueError("normals need each of the twelve months exactly once")
    series = {
        quantity: np.array([_or_nan(getattr(row, quantity)) for row in ordered]) for quantity in QUANTITIES
    }
    return Normals(**series)


def _or_nan(value: float | None) -> float:
    return np.nan if value is None else value
