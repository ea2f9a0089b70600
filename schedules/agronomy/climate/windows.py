"""What a site has seen at one time of the year: robust figures of a window of calendar days."""

from enum import Enum
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate.series import FloatArray, year_of

SLOTS = 366
MAD_TO_DEVIATION = 1.4826
YEARS_NEEDED = 7


class Window(Enum):
    """Days on either side, and the fewest readings that say anything."""

    FORTNIGHT = (7, 100)
    MONTH = (14, 20)


class OwnPast(NamedTuple):
    """Middle and robust standard deviation on each day asked for; NaN where too little is known."""

    middle: FloatArray
    deviation: FloatArray


def own_past(
    past: NDArray[np.datetime64],
    values: FloatArray,
    dates: NDArray[np.datetime64],
    window: Window,
    *,
    pct: float = 50.0,
) -> OwnPast:
    """Return percentile and deviation of the past's values at the time of the year of each date.

    Parameters
    ----------
    past : ndarray, shape (n,)
        Consecutive days, datetime64[D].
    values : ndarray, shape (n,)
        Readings on them, NaN where there is none. Any unit.
    dates : ndarray, shape (m,)
        Days to speak of.
    window : Window
        How many calendar days around each count as its time of the year; at least seven years are needed.
    pct : float
        The percentile to return as the middle; the deviation is 1.4826 times the median absolute deviation
        from it, in the unit of ``values``.
    """
    half, least = window.value
    if past.size == 0 or (np.unique(year_of(past[np.isfinite(values)])).size < YEARS_NEEDED):
        unknown = np.full(dates.size, np.nan)
        return OwnPast(unknown, unknown)
    years = year_of(past)
    grid = np.full((int(years[-1] - years[0]) + 1, SLOTS), np.nan)
    grid[years - years[0], _slot(past)] = values
    ringed = np.concatenate([grid[:, -half:], grid, grid[:, :half]], axis=1)
    wanted = np.unique(_slot(dates))
    middle, deviation = np.full(SLOTS, np.nan), np.full(SLOTS, np.nan)
    for slot in wanted:
        around = ringed[:, slot : slot + 2 * half + 1]
        around = around[np.isfinite(around)]
        if around.size >= least:
            middle[slot] = np.percentile(around, pct)
            deviation[slot] = MAD_TO_DEVIATION * np.median(np.abs(around - middle[slot]))
    at = _slot(dates)
    return OwnPast(middle[at], deviation[at])


def _slot(dates: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Return the calendar day as a number from 0, 1 March always the same, 29 February between."""
    months = dates.astype("datetime64[M]")
    month = months.astype(np.int64) % 12
    starts = np.cumsum([0, 31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30])
    return starts[month] + (dates - months.astype("datetime64[D]")).astype(np.int64)
