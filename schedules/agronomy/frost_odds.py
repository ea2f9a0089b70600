"""Frost in the members of an ensemble, those among them that follow a curve included.

A curve through monthly normals has no cold nights: read as it stands it puts the last frost of Brussels in
winter or nowhere, weeks before the frosts on record. On such a curve each member here meets frost by its own
luck, drawn so that the members together meet the early, the usual and the late frosts that nights swinging
about the curve would bring. Members that are past years, and days that were observed or forecast, are read as
they are.
"""

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate import Ensemble
from schedules.agronomy.frost import FROST_C, last_frost
from schedules.agronomy.normal import share_below
from schedules.agronomy.thermal_time import NEVER
from schedules.agronomy.warmth import on_a_curve

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

NIGHT_SD_C = 3.0
"""Standard deviation of a night's lowest temperature about its own month's mean. [°C]

Measured in open station records: 3.1 °C at Brussels, 3.5 °C at Wageningen, 2.5 °C at Seattle
(tests/outside/test_day_to_day.py).
"""

FRESH_SHARE = 0.5
"""Share of nights that count as a draw of their own.

Cold nights come in runs (the correlation from night to night is 0.5 to 0.7 in the same records), so that a
month holds about half as many chances as nights. A run that has begun holds two nights on average.
"""

_GOLDEN = (5**0.5 - 1) / 2


def last_frost_of(ensemble: Ensemble, begin: int, stop: int) -> IntArray:
    """Find each member's last frost of a span.

    Parameters
    ----------
    ensemble : Ensemble
        Daily temperatures.
    begin, stop : int
        Days looked at: ``begin <= index < stop``, cut to the window.

    Returns
    -------
    ndarray of int, shape (members,)
        Index of the last night at or below 0.0 °C; -1 where the span has none.

    Notes
    -----
    On a curve, a night of mean m has frost with probability ``p = Phi((0 - m) / s)``. With a share f of the
    nights counting, none follows from day d on with probability ``exp(f sum ln(1 - p))``. Member by member
    that is set against quantiles of a uniform distribution in a fixed, well mixed order. Beside the records
    of Brussels, Wageningen and two English counties the 10th, 50th and 90th percentiles of spring come within
    a fortnight (tests/outside/test_frost_of_normals.py prints each difference).
    """
    begin, stop = max(begin, 0), min(stop, ensemble.days)
    smooth = on_a_curve(ensemble)[begin:stop]
    if not smooth.any():
        return last_frost(ensemble.tmin_c, begin, stop)
    chances = _chances(ensemble.tmin_c[:, begin:stop], smooth, FROST_C)
    yet_to_come = np.cumsum(chances[:, ::-1], axis=1)[:, ::-1]
    by_luck = yet_to_come >= -np.log1p(-_luck(ensemble.members))[:, None]
    real = (ensemble.tmin_c[:, begin:stop] <= FROST_C) & ~smooth
    frosty = real | (by_luck & smooth)
    last = begin + frosty.shape[1] - 1 - frosty[:, ::-1].argmax(axis=1)
    return np.where(frosty.any(axis=1), last, NEVER)


def cold_night_of(ensemble: Ensemble, level_c: float, begin: int, stop: int, nights: int = 1) -> IntArray:
    """Find the night on which each member has had so many nights at or below a level.

    Parameters
    ----------
    ensemble : Ensemble
        Daily temperatures.
    level_c : float
        Level. [°C] 0.0 with one night is the first frost.
    begin, stop : int
        Days looked at: ``begin <= index < stop``, cut to the window.
    nights : {1, 2}
        How many nights it takes.

    Returns
    -------
    ndarray of int, shape (members,)
        Index of that night; -1 where the span has fewer.

    Raises
    ------
    ValueError
        When ``nights`` is neither 1 nor 2.

    Notes
    -----
    On a curve a cold spell that begins is taken to hold two nights, the second the day after the first.
    """
    if nights not in (1, 2):
        raise ValueError(f"cold nights: nights must be 1 or 2, not {nights}")
    begin, stop = max(begin, 0), min(stop, ensemble.days)
    if stop <= begin:
        return np.full(ensemble.members, NEVER)
    smooth = on_a_curve(ensemble)[begin:stop]
    lows_c = ensemble.tmin_c[:, begin:stop]
    real = np.cumsum((lows_c <= level_c) & ~smooth, axis=1) >= nights
    reached = real
    if smooth.any():
        gathered = np.cumsum(_chances(lows_c, smooth, level_c), axis=1)
        by_luck = gathered >= -np.log1p(-_luck(ensemble.members))[:, None]
        delay = nights - 1
        by_luck = np.pad(by_luck, ((0, 0), (delay, 0)))[:, : by_luck.shape[1]]
        reached = real | by_luck
    return np.where(reached.any(axis=1), begin + reached.argmax(axis=1), NEVER)


def _chances(lows_c: FloatArray, smooth: NDArray[np.bool_], level_c: float) -> FloatArray:
    """Return each night's part in the logarithm of no such night, 0 where the weather is real."""
    share = np.minimum(share_below((level_c - lows_c) / NIGHT_SD_C), 1 - 1e-12)
    return np.where(smooth, -FRESH_SHARE * np.log1p(-share), 0.0)


def _luck(members: int) -> FloatArray:
    """Return evenly spaced quantiles, ordered so that they say nothing of a member's place."""
    order = np.argsort(np.argsort((0.5 + np.arange(members) * _GOLDEN) % 1.0))
    return (order + 0.5) / members
