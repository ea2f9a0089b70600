"""The record before today as an ensemble takes it: short gaps bridged, and the years that count."""

from dataclasses import dataclass
from datetime import date

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate.gaps import bridge, uncrossed
from schedules.agronomy.climate.monthly import curve_on
from schedules.agronomy.climate.series import DailyWeather, FloatArray, Normals, days_from, year_of

BoolArray = NDArray[np.bool_]
DAYS_MISSED_IN_A_YEAR = 15


@dataclass(frozen=True, slots=True, eq=False)
class Past:
    """What was observed from ``first`` to yesterday, with its short gaps bridged.

    ``temperatures_c`` and ``is_bridged`` have shape (2, n), minimum first; ``rain_mm`` has shape (n,). NaN
    is a day of a longer gap, or a rain reading that is missing: rain is never bridged.
    """

    first: date
    temperatures_c: FloatArray
    is_bridged: BoolArray
    rain_mm: FloatArray

    @property
    def dates(self) -> NDArray[np.datetime64]:
        return days_from(self.first, self.rain_mm.size)

    def index_on(self, dates: NDArray[np.datetime64]) -> tuple[NDArray[np.int64], BoolArray]:
        """Return the index of each date, and whether the record holds it."""
        index = (dates - np.datetime64(self.first, "D")).astype(np.int64)
        return index, (index >= 0) & (index < self.rain_mm.size)


def past_of(observed: DailyWeather, usual: Normals, today: date) -> Past:
    """Carry a record that ends before ``today`` up to yesterday, and bridge what may be bridged."""
    days = max((today - observed.first).days, 0)
    tmin_c, tmax_c, rain_mm = (
        np.pad(each, (0, days - each.size), constant_values=np.nan)
        for each in (observed.tmin_c, observed.tmax_c, observed.rain_mm)
    )
    if not np.isnan(tmin_c + tmax_c).any():
        return Past(observed.first, np.stack([tmin_c, tmax_c]), np.zeros((2, days), dtype=bool), rain_mm)
    dates = days_from(observed.first, days)
    low, high = bridge(tmin_c, curve_on(usual.tmin_c, dates)), bridge(tmax_c, curve_on(usual.tmax_c, dates))
    is_bridged = np.stack([low.is_bridged, high.is_bridged])
    return Past(observed.first, np.stack(uncrossed(low.values, high.values, is_bridged)), is_bridged, rain_mm)


def years_that_count(past: Past | None, today: date) -> list[int]:
    """Return the calendar years before today's that can stand for a year to come.

    A year counts when at most fifteen of its days lack a temperature, none of them in a gap longer than
    three days; those days are bridged. Common practice, no published source.
    """
    if past is None:
        return []
    whole = np.isfinite(past.temperatures_c).all(axis=0)
    years, counts = np.unique(year_of(past.dates[whole]), return_counts=True)
    bridged_years = year_of(past.dates[past.is_bridged.any(axis=0)])
    missed = (bridged_years == years[:, None]).sum(axis=1)
    complete = (counts == _lengths(years)) & (missed <= DAYS_MISSED_IN_A_YEAR)
    return [int(each) for each in years[complete & (years < today.year)]]


def has_rain(past: Past, years: list[int]) -> BoolArray:
    """Return which of the years lack rain on at most fifteen days, shape (years,)."""
    observed = year_of(past.dates[np.isfinite(past.rain_mm)])
    wanted = np.array(years, dtype=np.int64)
    counts = (observed == wanted[:, None]).sum(axis=1)
    return counts >= _lengths(wanted) - DAYS_MISSED_IN_A_YEAR


def _lengths(years: NDArray[np.int64]) -> NDArray[np.int64]:
    starts = (years - 1970).astype("datetime64[Y]")
    return ((starts + 1).astype("datetime64[D]") - starts.astype("datetime64[D]")).astype(np.int64)


def as_in(past: Past, years: list[int], dates: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Return where in the record each year's calendar days of ``dates`` stand, shape (years, days).

    28 February stands in for a 29 February that a year lacks.
    """
    months = dates.astype("datetime64[M]")
    month = (months - dates.astype("datetime64[Y]").astype("datetime64[M]")).astype(np.int64)
    day = (dates - months.astype("datetime64[D]")).astype(np.int64)
    then = (np.array(years) - 1970).astype("datetime64[Y]").astype("datetime64[M]")[:, None] + month
    month_start = then.astype("datetime64[D]")
    last_day = ((then + 1).astype("datetime64[D]") - month_start).astype(np.int64) - 1
    return (month_start + np.minimum(day, last_day) - np.datetime64(past.first, "D")).astype(np.int64)
