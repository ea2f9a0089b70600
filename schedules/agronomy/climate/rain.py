"""Rain day by day where only monthly totals are known: wet days and dry spells instead of a drizzle."""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate.monthly import monthly_rain_mm
from schedules.agronomy.climate.series import DailyWeather, FloatArray, Normals, month_of

WET_DAY_MM = 6.0
MOST_WET = 2 / 3
# Chosen so that in a month of one wet day in three the published 0.25 (below) comes out.
PERSISTENCE = 0.8
LONGEST_MONTH = 31
RAIN_PATTERN = (
    "monthly rain laid out as wet days of 6 mm on average, at most two days in three: common practice, no "
    "published source"
)
RAIN_YEARS = "the rain of past years at this site"
RAIN_UNKNOWN = "no rain is known for this site"


def rain_pattern(monthly_mm: FloatArray, dates: NDArray[np.datetime64], members: int) -> FloatArray:
    """Lay monthly totals out over wet days, each member in its own order.

    Parameters
    ----------
    monthly_mm : array_like, shape (12,)
        Rain of each whole month, January first, all finite and not negative. [mm]
    dates : ndarray, shape (days,)
        Consecutive days, datetime64[D].
    members : int
        Number of members, at least 1.

    Returns
    -------
    ndarray, shape (members, days)
        Rain of the day. [mm] Over a whole calendar month every member adds up to that month's total.

    Notes
    -----
    A month has one wet day for each 6 mm, at least one where any rain falls at all, at most two days in
    three; the amounts of its wet days follow an exponential distribution, scaled to the total. All of that
    is common practice, no published source. Which days are wet comes out of a fixed mixing of day number
    and member, so that a date has the same rain in every window, on every machine. A day leans on the day
    before, so that wet days keep together: in temperate months a wet day is about a quarter likelier after
    a wet one, as Geng and others found for several climates; in dry months the pattern falls short of that
    (0.11 with one wet day in ten). Each member has the usual total in each month: dry and wet years
    are not in it.

    References
    ----------
    .. [1] Geng, S., Penning de Vries, F. W. T. and Supit, I., A simple method for generating daily rainfall
       data, Agricultural and Forest Meteorology 36, 1986, 363-376 (from memory: the chance of rain after a
       wet day is 0.25 above that after a dry day).
    """
    key = tuple(float(each) for each in monthly_mm)
    return _kept_pattern(key, int(dates[0].astype(np.int64)), dates.size, members)


@lru_cache(maxsize=32)
def _kept_pattern(monthly_mm: tuple[float, ...], first: int, days: int, members: int) -> FloatArray:
    """A site's pattern changes with the window only, once a day at most: keep it."""
    first_month = np.datetime64(first, "D").astype("datetime64[M]")
    last_month = np.datetime64(first + days - 1, "D").astype("datetime64[M]")
    months = np.arange(first_month, last_month + 1)
    starts = months.astype("datetime64[D]")
    lengths = ((months + 1).astype("datetime64[D]") - starts).astype(np.int64)
    day = np.arange(LONGEST_MONTH)
    exists = day < lengths[:, None]
    number = (starts.astype(np.int64)[:, None] + day)[:, None, :]
    who = np.arange(members)[:, None]
    lean = _mixed(number, who, 0) + PERSISTENCE * _mixed(number - 1, who, 0)
    order = np.argsort(np.argsort(np.where(exists[:, None, :], -lean, 9.0), axis=-1), axis=-1)
    totals = np.array(monthly_mm)[month_of(starts)]
    is_wet = order < _wet_days(totals, lengths)[:, None, None]
    weights = np.where(is_wet, -np.log(_mixed(number, who, 1)), 0.0)
    sums = weights.sum(axis=-1, keepdims=True)
    rain = totals[:, None, None] * np.divide(weights, sums, out=np.zeros_like(weights), where=sums > 0)
    laid = np.moveaxis(rain, 1, 0)[:, exists]
    begin = first - int(starts[0].astype(np.int64))
    pattern = np.ascontiguousarray(laid[:, begin : begin + days])
    pattern.setflags(write=False)
    return pattern


def _wet_days(totals: FloatArray, lengths: NDArray[np.int64]) -> NDArray[np.int64]:
    wanted = np.clip(np.rint(totals / WET_DAY_MM), 1, np.floor(lengths * MOST_WET))
    return np.where(totals > 0, wanted, 0).astype(np.int64)


def _mixed(day: NDArray[np.int64], member: NDArray[np.int64], stream: int) -> FloatArray:
    """Return evenly spread numbers in (0, 1) that depend on day, member and stream alone.

    The finalizer of splitmix64 (from memory); integers only, so that every machine agrees to the bit.
    """
    mixed = (day + 1_000_000).astype(np.uint64) * np.uint64(0x9E3779B97F4A7C15)
    mixed = mixed + (member + 1).astype(np.uint64) * np.uint64(0xD1B54A32D192ED03) + np.uint64(stream)
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    mixed = mixed ^ (mixed >> np.uint64(31))
    return ((mixed >> np.uint64(11)).astype(np.float64) + 0.5) / 2**53


def usual_rain_mm(normals: Normals | None, record: DailyWeather | None) -> FloatArray | None:
    """Return twelve monthly totals from the normals, else from the record; None unless all are known."""
    candidates = [normals.rain_mm] if normals is not None else []
    if record is not None:
        candidates.append(monthly_rain_mm(record))
    return next((each for each in candidates if np.isfinite(each).all() and (each >= 0).all()), None)


def borrowed(rain_mm: FloatArray, is_own: NDArray[np.bool_]) -> FloatArray:
    """Give years without rain, and days without it, the rain of another year on the same calendar day.

    Parameters
    ----------
    rain_mm : ndarray, shape (years, days)
        Rain of each year laid on the window. [mm], NaN where not observed.
    is_own : ndarray of bool, shape (years,)
        Years whose rain is known; at least one.

    Returns
    -------
    ndarray, shape (years, days)
        NaN only where no year with rain has that day.
    """
    lenders = rain_mm[is_own]
    taken = np.where(is_own[:, None], rain_mm, np.nan)
    who = np.arange(taken.shape[0])
    for step in range(lenders.shape[0]):
        absent = np.isnan(taken)
        if not absent.any():
            break
        taken = np.where(absent, lenders[(who + step) % lenders.shape[0]], taken)
    return taken
