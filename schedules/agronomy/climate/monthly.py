"""Between days and months: normals out of daily weather, and a smooth day-by-day curve out of normals."""

from calendar import month_name
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate.series import (
    ClimateFault,
    DailyWeather,
    FloatArray,
    Normals,
    month_of,
    year_of,
)

MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
DAYS_FOR_A_MONTH = 20
FEWEST_DAYS = 10
YEARS_FOR_A_SPREAD = 3


def daily_curve(monthly: FloatArray, *, leap: bool = False) -> FloatArray:
    """Draw a smooth yearly curve whose monthly means are the given ones.

    Parameters
    ----------
    monthly : array_like, shape (12,)
        Monthly means, January first. Any unit; a monthly total must first be divided by its days.
    leap : bool
        Draw 366 days, with 29 in February.

    Returns
    -------
    ndarray, shape (365,) or (366,)
        One value a day, in the unit of ``monthly``.

    Raises
    ------
    ClimateFault
        When ``monthly`` does not hold twelve finite values.

    Notes
    -----
    The running total since 1 January is known at the twelve month ends. A periodic cubic spline through
    those totals, less the yearly mean, is differenced day by day: each month's days then add up to its own
    total by construction, and December runs on into January. The curve may pass slightly beyond the highest
    and lowest month, so a quantity that cannot be negative (rain) needs care.

    References
    ----------
    .. [1] de Boor, C., A Practical Guide to Splines, Springer, 1978, chapter IV (from memory: the periodic
       cubic spline and its second-derivative equations).
    """
    means = np.asarray(monthly, dtype=float)
    if means.shape != (12,) or not np.isfinite(means).all():
        raise ClimateFault("daily curve: twelve finite monthly values are needed, January first")
    lengths = np.array(MONTH_DAYS, dtype=float)
    lengths[1] += leap
    yearly_mean = means @ lengths / lengths.sum()
    excess = np.concatenate(([0.0], np.cumsum((means - yearly_mean) * lengths)))
    return np.diff(_periodic_spline(lengths, excess)) + yearly_mean


def _periodic_spline(steps: FloatArray, totals: FloatArray) -> FloatArray:
    """Evaluate the periodic cubic spline through ``totals`` at every whole day, shape (steps.sum() + 1,)."""
    before = np.roll(steps, 1)
    slopes = np.diff(totals) / steps
    following = np.roll(np.eye(12), 1, axis=1)
    system = np.diag(2 * (before + steps)) + steps[:, None] * following + before[:, None] * following.T
    bend = np.linalg.solve(system, 6 * (slopes - np.roll(slopes, 1)))
    bend = np.append(bend, bend[0])

    starts = np.concatenate(([0.0], np.cumsum(steps)))
    day = np.arange(int(starts[-1]) + 1)
    month = np.minimum(np.searchsorted(starts, day, side="right") - 1, 11)
    width, since, left = steps[month], day - starts[month], starts[month + 1] - day
    straight = (totals[month] * left + totals[month + 1] * since) / width
    curved = bend[month] * (left**3 / width - width * left) + bend[month + 1] * (
        since**3 / width - width * since
    )
    return straight + curved / 6


def curve_on(monthly: FloatArray, dates: NDArray[np.datetime64]) -> FloatArray:
    """Return the curve of ``daily_curve`` on the given dates, leap years as such, shape as ``dates``."""
    years = dates.astype("datetime64[Y]")
    day_of_year = (dates - years.astype("datetime64[D]")).astype(np.int64)
    year_days = ((years + 1).astype("datetime64[D]") - years.astype("datetime64[D]")).astype(np.int64)
    means = tuple(float(each) for each in monthly)
    common, leap = _kept_curve(means, leap=False), _kept_curve(means, leap=True)
    return np.where(year_days == 366, leap[day_of_year], common[np.minimum(day_of_year, 364)])


@lru_cache(maxsize=64)
def _kept_curve(monthly: tuple[float, ...], *, leap: bool) -> FloatArray:
    """A site's curve is asked for with every plan and changes once in years: solve its spline once."""
    curve = daily_curve(np.array(monthly), leap=leap)
    curve.setflags(write=False)
    return curve


def normals_of(days: DailyWeather) -> Normals:
    """Average a daily record into twelve monthly normals.

    Parameters
    ----------
    days : DailyWeather
        Any length; NaN where not observed.

    Returns
    -------
    Normals
        Temperatures are means over the years of the monthly means. Rain is the mean daily rain of the month
        times its usual length. Rain and wind are NaN in a month never observed.

    Raises
    ------
    ClimateFault
        When a calendar month has no year with at least ten days of both temperatures.

    Notes
    -----
    A month of one year counts when at least twenty of its days were observed; where no year has as many, with
    ten. Common practice, no published source. Each year weighs the same.
    """
    tmin_c, tmax_c = (
        _monthly(days, np.where(days.whole, each, np.nan)) for each in (days.tmin_c, days.tmax_c)
    )
    empty = np.flatnonzero(np.isnan(tmin_c))
    if empty.size:
        names = ", ".join(month_name[int(month) + 1] for month in empty)
        raise ClimateFault(
            f"weather record: no year has {FEWEST_DAYS} days of tmin_c and tmax_c in {names}; "
            "add those months or supply monthly normals"
        )
    rain_mm = monthly_rain_mm(days)
    return Normals(tmin_c, tmax_c, rain_mm, _monthly(days, days.wind_ms))


def monthly_rain_mm(days: DailyWeather) -> FloatArray:
    """Return the mean rain of each month, January first, shape (12,). [mm], NaN in a month never observed.

    Months count as in :func:`normals_of`; the mean of the days observed stands for the whole month.
    """
    return _monthly(days, days.rain_mm) * MONTH_DAYS


def year_to_year_spread_c(days: DailyWeather) -> float | None:
    """Measure how far one year's month lies from another's.

    Parameters
    ----------
    days : DailyWeather
        Daily record.

    Returns
    -------
    float or None
        Root mean square over the twelve months of the sample standard deviation, between years, of the
        monthly mean temperature. [°C] None when a month has fewer than three usable years.
    """
    means = _by_year(days, (days.tmin_c + days.tmax_c) / 2)
    if (np.isfinite(means).sum(axis=0) < YEARS_FOR_A_SPREAD).any():
        return None
    return float(np.sqrt(np.mean(np.nanvar(means, axis=0, ddof=1))))


def _monthly(days: DailyWeather, values: FloatArray) -> FloatArray:
    """Return the mean over the years of each month, shape (12,); ten days count where no year has twenty."""
    full = _mean_of_years(_by_year(days, values))
    if np.isfinite(full).all():
        return full
    return np.where(np.isnan(full), _mean_of_years(_by_year(days, values, FEWEST_DAYS)), full)


def _by_year(days: DailyWeather, values: FloatArray, least: int = DAYS_FOR_A_MONTH) -> FloatArray:
    """Return monthly means by year, shape (years, 12); NaN where too few days were observed."""
    years = year_of(days.dates)
    first_year = years[0] if years.size else 0
    row_count = int(years[-1] - first_year + 1) if years.size else 1
    cell = (years - first_year) * 12 + month_of(days.dates)
    known = np.isfinite(values)
    counts = np.bincount(cell[known], minlength=row_count * 12)
    sums = np.bincount(cell[known], weights=values[known], minlength=row_count * 12)
    means = np.divide(sums, counts, out=np.full(row_count * 12, np.nan), where=counts >= least)
    return means.reshape(row_count, 12)


def _mean_of_years(means: FloatArray) -> FloatArray:
    known = np.isfinite(means)
    counts = known.sum(axis=0)
    return np.divide(np.where(known, means, 0).sum(axis=0), counts, out=np.full(12, np.nan), where=counts > 0)
