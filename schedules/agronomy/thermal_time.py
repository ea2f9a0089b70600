"""Degree days, and the day a running sum is reached."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.agronomy.normal import expected_excess

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

NEVER = -1
ROUNDING = 1e-9
DAY_TO_DAY_SD_C = 3.0
"""Standard deviation of a day's mean temperature about its own month's. [°C]

Measured in open station records: 3.1 °C at Brussels and Wageningen, 2.4 °C at Seattle, over the year
(tests/outside/test_day_to_day.py); winters swing more and late summers less.
"""


@dataclass(frozen=True, slots=True)
class HeatSum:
    """A sum of degree days that owns up to its gaps.

    Parameters
    ----------
    known_cd : float
        Sum over the days that are known. [°C day]
    missing_days : int
        Days whose degree days are unknown; the true sum is at least ``known_cd``.
    """

    known_cd: float
    missing_days: int

    @property
    def complete(self) -> bool:
        return self.missing_days == 0


def heat_sum(degree_days: ArrayLike) -> HeatSum:
    """Add up degree days, counting the days that are missing.

    Parameters
    ----------
    degree_days : array_like, shape (n,)
        Degree days of each day. [°C day], NaN where unknown.

    Returns
    -------
    HeatSum
        The known part of the sum and the number of missing days. A gap is never counted as zero heat without
        being counted as missing.
    """
    values = np.asarray(degree_days, dtype=float)
    return HeatSum(float(np.nansum(values)), int(np.isnan(values).sum()))


def degree_days_average(
    tmin_c: ArrayLike, tmax_c: ArrayLike, base_c: float, upper_c: float | None = None
) -> FloatArray:
    """Degree days from the mean of the day's extremes.

    Parameters
    ----------
    tmin_c, tmax_c : array_like, shapes that broadcast
        Lowest and highest temperature of the day. [°C]
    base_c : float
        Temperature below which nothing is counted. [°C]
    upper_c : float, optional
        Temperature above which nothing more is counted (horizontal cut-off), above ``base_c``. [°C]

    Returns
    -------
    ndarray
        Degree days, never negative. [°C day] NaN where either temperature is NaN.

    Raises
    ------
    ValueError
        When a minimum is above its maximum, or ``upper_c`` is not above ``base_c``.

    Notes
    -----
    ``max(0, (tmax + tmin) / 2 - base)``. The cut-off takes away the degree days above ``upper_c``.

    References
    ----------
    .. [1] McMaster, G.S. and Wilhelm, W.W., Growing degree-days: one equation, two interpretations,
       Agricultural and Forest Meteorology 87, 1997, pp. 291-300, method 1.
    """
    return _cut_off(_average, tmin_c, tmax_c, base_c, upper_c)


def degree_days_triangle(
    tmin_c: ArrayLike, tmax_c: ArrayLike, base_c: float, upper_c: float | None = None
) -> FloatArray:
    """Degree days under a single triangle drawn through the day's extremes.

    Parameters, returned values and errors are those of :func:`degree_days_average`.

    Notes
    -----
    Where the base lies between the extremes: ``(tmax - base)^2 / (2 (tmax - tmin))``.

    References
    ----------
    .. [1] Zalom, F.G., Goodell, P.B., Wilson, L.T., Barnett, W.W. and Bentley, W.J., Degree-days: the
       calculation and use of heat units in pest management, University of California, Leaflet 21373, 1983.
    """
    return _cut_off(_triangle, tmin_c, tmax_c, base_c, upper_c)


def degree_days_sine(
    tmin_c: ArrayLike, tmax_c: ArrayLike, base_c: float, upper_c: float | None = None
) -> FloatArray:
    """Degree days under a single sine wave drawn through the day's extremes.

    Parameters, returned values and errors are those of :func:`degree_days_average`.

    Notes
    -----
    With mean M and half-range A, where the base lies between the extremes:
    ``((M - base) (pi/2 - theta) + A cos(theta)) / pi``, ``theta = arcsin((base - M) / A)``.

    References
    ----------
    .. [1] Baskerville, G.L. and Emin, P., Rapid estimation of heat accumulation from maximum and minimum
       temperatures, Ecology 50, 1969, pp. 514-517.
    """
    return _cut_off(_sine, tmin_c, tmax_c, base_c, upper_c)


def degree_days_of_curve(
    mean_c: ArrayLike,
    base_c: float,
    upper_c: float | None = None,
    day_to_day_sd_c: float = DAY_TO_DAY_SD_C,
) -> FloatArray:
    """Degree days expected of days that swing about a smooth curve.

    A curve through monthly normals has no cold and no warm days. Where it lies near the base it has too
    little warmth: days above the base count, while those below take nothing away. Use this instead of
    :func:`degree_days_average` wherever daily values are such a curve (``Ensemble.basis == "normals"``, days
    that were not observed), never for observed days or members that are past years.

    Parameters
    ----------
    mean_c : array_like
        Mean temperature of the day on the curve. [°C]
    base_c : float
        Temperature below which nothing is counted. [°C]
    upper_c : float, optional
        Temperature above which nothing more is counted, above ``base_c``. [°C]
    day_to_day_sd_c : float
        Standard deviation of daily means about the curve, 0 or more. [°C] 0 counts the curve as it stands.

    Returns
    -------
    ndarray, shape as ``mean_c``
        Expected degree days, never negative. [°C day] NaN where ``mean_c`` is.

    Raises
    ------
    ValueError
        When ``upper_c`` is not above ``base_c``, or the standard deviation is below 0.

    Notes
    -----
    For a normal distribution with mean m and standard deviation s the expected excess over a base b is
    ``(m - b) Phi(z) + s phi(z)``, ``z = (m - b) / s`` [1]_ [2]_. It is read off a table in steps of 0.001 s
    and is within 1e-6 °C of the formula. On the base itself it is 0.399 s: 1.2 °C a day at 3 °C.

    References
    ----------
    .. [1] Thom, H.C.S., The rational relationship between heating degree days and temperature, Monthly
       Weather Review 82, 1954, pp. 1-6 (from memory; the normal distribution as his is read second-hand).
    .. [2] Calov, R. and Greve, R., A semi-analytical solution for the positive degree-day model with
       stochastic temperature variations, Journal of Glaciology 51, 2005, equation 6 (as an ice model's
       documentation prints it).
    """
    means = np.asarray(mean_c, dtype=float)
    if day_to_day_sd_c < 0:
        raise ValueError(f"degree days: day_to_day_sd_c {day_to_day_sd_c} must be 0 or more")
    if upper_c is None:
        return _expected_excess(means, base_c, day_to_day_sd_c)
    if upper_c <= base_c:
        raise ValueError(f"degree days: upper_c {upper_c} must be above base_c {base_c}")
    above_base = _expected_excess(means, base_c, day_to_day_sd_c)
    return np.maximum(above_base - _expected_excess(means, upper_c, day_to_day_sd_c), 0.0)


def _expected_excess(mean_c: FloatArray, level_c: float, sd_c: float) -> FloatArray:
    if sd_c == 0:
        return np.maximum(mean_c - level_c, 0.0)
    return sd_c * expected_excess((mean_c - level_c) / sd_c)


def maturity_degree_days(days: float, base_c: float, reference_c: float) -> float:
    """Turn a number of days printed for a crop into a heat sum.

    Parameters
    ----------
    days : float
        Days the crop takes, above 0. [day]
    base_c : float
        Temperature at which growth stops. [°C]
    reference_c : float
        Mean temperature at which the printed days are taken to hold. [°C]

    Returns
    -------
    float
        ``days (reference - base)``. [°C day]

    Raises
    ------
    ValueError
        When ``days`` is not above 0, or ``reference_c`` not above ``base_c``.
    """
    if days <= 0 or reference_c <= base_c:
        raise ValueError(
            f"maturity: days ({days}) must be above 0 and reference_c ({reference_c}) above base_c ({base_c})"
        )
    return days * (reference_c - base_c)


def reached_index(degree_days: ArrayLike, start_index: ArrayLike, total: ArrayLike) -> IntArray:
    """Find the day a running sum first reaches a total.

    Parameters
    ----------
    degree_days : array_like, shape (members, days)
        Degree days, or any daily amount not below 0; NaN where unknown.
    start_index : int or array_like, shape (members,)
        First day counted; below 0 means never started.
    total : float or array_like, shape (members,)
        Sum wanted, in the unit of ``degree_days``.

    Returns
    -------
    ndarray of int, shape (members,)
        Index of the day on which the sum, the first day's amount included, reaches the total. -1 when it is
        not reached within the window, never started, or lies behind a gap in the record.
    """
    amounts = np.atleast_2d(np.asarray(degree_days, dtype=float))
    members, days = amounts.shape
    start = np.broadcast_to(np.asarray(start_index), (members,))
    counted = np.arange(days) >= start[:, None]
    wanted = np.broadcast_to(np.asarray(total, dtype=float), (members,))[:, None]
    sums = np.cumsum(np.where(counted, amounts, 0.0), axis=1)
    reached = counted & (sums >= wanted - ROUNDING * np.maximum(1.0, np.abs(wanted)))
    found = reached.any(axis=1) & (start >= 0)
    return np.where(found, np.argmax(reached, axis=1), NEVER)


def _cut_off(
    above: Callable[[FloatArray, FloatArray, float], FloatArray],
    tmin_c: ArrayLike,
    tmax_c: ArrayLike,
    base_c: float,
    upper_c: float | None,
) -> FloatArray:
    """Degree days above the base less those above the upper cut-off, both by one method."""
    low, high = np.broadcast_arrays(np.asarray(tmin_c, dtype=float), np.asarray(tmax_c, dtype=float))
    crossed = low > high
    if crossed.any():
        place = tuple(int(each) for each in np.argwhere(crossed)[0])
        raise ValueError(
            f"degree days: tmin_c {low[crossed][0]} is above tmax_c {high[crossed][0]} at position {place}; "
            "correct or clear that day"
        )
    if upper_c is None:
        return above(low, high, base_c)
    if upper_c <= base_c:
        raise ValueError(f"degree days: upper_c {upper_c} must be above base_c {base_c}")
    return above(low, high, base_c) - above(low, high, upper_c)


def _average(low: FloatArray, high: FloatArray, base_c: float) -> FloatArray:
    return np.maximum((low + high) / 2 - base_c, 0.0)


def _triangle(low: FloatArray, high: FloatArray, base_c: float) -> FloatArray:
    crosses = (low < base_c) & (base_c < high)
    width = np.where(crosses, high - low, 1.0)
    return np.where(crosses, (high - base_c) ** 2 / (2 * width), _average(low, high, base_c))


def _sine(low: FloatArray, high: FloatArray, base_c: float) -> FloatArray:
    mean, half = (low + high) / 2, (high - low) / 2
    crosses = (low < base_c) & (base_c < high)
    lift = np.where(crosses, mean - base_c, 0.0)
    theta = np.arcsin(np.clip(-lift / np.where(crosses, half, 1.0), -1.0, 1.0))
    partial = (lift * (np.pi / 2 - theta) + half * np.cos(theta)) / np.pi
    return np.where(crosses, partial, _average(low, high, base_c))
