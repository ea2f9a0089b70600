"""The standard normal distribution, read off a table so that whole arrays are quick."""

import math
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

# Past six standard deviations a tail is below 1e-9.
REACH = 6.0
_STEPS = 12_001


def share_below(z: ArrayLike) -> FloatArray:
    """Return the share of a standard normal distribution below ``z``; within 1e-7, NaN where ``z`` is."""
    places, below, _ = _table()
    read_off: FloatArray = np.interp(np.asarray(z, dtype=float), places, below)
    return read_off


def expected_excess(z: ArrayLike) -> FloatArray:
    """Return the expected excess of a standard normal value over ``-z``: ``z Phi(z) + phi(z)``.

    Within 1e-7; NaN where ``z`` is.
    """
    values = np.asarray(z, dtype=float)
    places, _, excess = _table()
    read_off: FloatArray = np.interp(values, places, excess)
    return np.where(values > REACH, values, read_off)


@cache
def _table() -> tuple[FloatArray, FloatArray, FloatArray]:
    places = np.linspace(-REACH, REACH, _STEPS)
    below = np.array([0.5 * (1 + math.erf(z / math.sqrt(2))) for z in places])
    density = np.exp(-(places**2) / 2) / math.sqrt(2 * math.pi)
    return places, below, np.maximum(places * below + density, 0.0)
