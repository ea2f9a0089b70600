"""Invented weather for the climate tests: plain shapes with known answers."""

from datetime import date

import numpy as np

from schedules.agronomy.climate import DailyWeather, Normals

YEARS = range(2014, 2026)
UNKNOWN = np.full(12, np.nan)
MONTHLY_MEAN_C = np.array([4.0, 4.5, 6.5, 9.0, 12.0, 15.0, 17.0, 16.5, 14.0, 10.5, 7.0, 4.5])
NORMALS = Normals(MONTHLY_MEAN_C - 4, MONTHLY_MEAN_C + 4, UNKNOWN, UNKNOWN)


def record(first: date, last: date, tmean_c, half_range_c=4.0):
    """A daily record whose mean is ``tmean_c(dates)``."""
    dates = np.arange(np.datetime64(first), np.datetime64(last) + 1)
    mean = np.broadcast_to(np.asarray(tmean_c(dates), dtype=float), dates.shape)
    return DailyWeather(
        first, mean - half_range_c, mean + half_range_c, np.full(dates.size, 2.0), np.full(dates.size, 3.0)
    )


def by_year(dates):
    """As many degrees as the year is after 2000: tells which year a day was taken from."""
    return dates.astype("datetime64[Y]").astype(int) + 1970 - 2000


def by_month(dates):
    return MONTHLY_MEAN_C[dates.astype("datetime64[M]").astype(int) % 12]
