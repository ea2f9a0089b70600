"""Cold that ripens a plant for flowering, and counts of days that make one run to seed."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]


def vernal_rate_cd(air_c: ArrayLike, base_c: float, best_c: float, ceiling_c: float) -> FloatArray:
    """Cold counted in one day towards flowering.

    Parameters
    ----------
    air_c : array_like, any shape
        Mean temperature of the day. [°C]
    base_c, best_c, ceiling_c : float
        Temperatures below which nothing counts, at which most counts, and from which on nothing counts. [°C]

    Returns
    -------
    ndarray, shape as ``air_c``
        Degree days of cold. [°C day] 0 outside base to ceiling, ``best - base`` at the best; NaN where the
        temperature is NaN.

    Raises
    ------
    ValueError
        When base, best and ceiling do not rise.

    Notes
    -----
    ``T - base`` up to the best, then a straight fall to 0 at the ceiling. For carrot the rates were measured
    to rise in a straight line from -1 to 5 °C and to fall in one from 7 to 16 °C; between 5 and 7 °C the two
    lines are drawn on to where they meet, which is the best of 6.5 °C.

    References
    ----------
    .. [1] Atherton, J.G., Craigon, J. and Basher, E.A., Flowering and bolting in carrot I, Journal of
       Horticultural Science 65, 1990, pp. 423-429 (abstract).
    """
    if not base_c < best_c < ceiling_c:
        raise ValueError(f"vernal: base {base_c}, best {best_c} and ceiling {ceiling_c} must rise")
    air = np.asarray(air_c, dtype=float)
    rising = air - base_c
    falling = (ceiling_c - air) * (best_c - base_c) / (ceiling_c - best_c)
    return np.maximum(np.minimum(rising, falling), 0.0)


def summed_between(daily: ArrayLike, start: ArrayLike, stop: ArrayLike) -> FloatArray:
    """Add up a daily amount over each member's own days.

    Parameters
    ----------
    daily : array_like, shape (members, days) or (days,)
        Amount of each day, or whether the day counts.
    start, stop : array_like, shape (members,)
        First day counted, and the first that no longer is; cut to the days there are.

    Returns
    -------
    ndarray, shape (members,)
        Sum in the unit of ``daily``, or number of days; 0 where ``stop`` is not after ``start``.
    """
    return between(running_sums(daily), start, stop)


def running_sums(daily: ArrayLike) -> FloatArray:
    """Return what had come together before each day, members by one day more than ``daily`` has."""
    amounts = np.atleast_2d(np.asarray(daily, dtype=float))
    return np.concatenate([np.zeros((amounts.shape[0], 1)), np.cumsum(amounts, axis=1)], axis=1)


def between(sums: FloatArray, start: ArrayLike, stop: ArrayLike) -> FloatArray:
    """Return what came together from ``start`` to before ``stop``, of ``running_sums`` kept from before."""
    begin, end = np.asarray(start, dtype=float), np.asarray(stop, dtype=float)
    days = sums.shape[1] - 1
    first = np.clip(begin, 0, days).astype(int)
    last = np.maximum(np.clip(end, 0, days).astype(int), first)
    members = np.arange(begin.size) if sums.shape[0] > 1 else np.zeros(begin.size, dtype=int)
    return np.asarray(sums[members, last] - sums[members, first])
