"""Short gaps in a record bridged, longer ones left open. A gap is never counted as zero."""

from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate.series import DailyWeather, FloatArray

LONGEST_BRIDGE_DAYS = 3
BRIDGE = (
    "up to three days without a reading take the usual curve and the departure of the last day read: "
    "common practice, no published source"
)


class Bridged(NamedTuple):
    """A series with its short gaps filled, and where that was done; both shape (n,)."""

    values: FloatArray
    is_bridged: NDArray[np.bool_]


def bridge(values: FloatArray, curve: FloatArray) -> Bridged:
    """Fill gaps of up to three days by the usual curve plus the departure of the last value before.

    Parameters
    ----------
    values : ndarray, shape (n,)
        One value a day, NaN where not observed. Any unit.
    curve : ndarray, shape (n,)
        What is usual on each day, in the same unit.

    Returns
    -------
    Bridged
        Gaps longer than three days, and a gap before the first value, stay NaN.

    Notes
    -----
    A departure from the usual fades within some days, so that it says little of a longer gap: common
    practice, no published source.
    """
    known = np.isfinite(values)
    at = np.arange(values.size)
    last = np.maximum.accumulate(np.where(known, at, -1))
    following = np.minimum.accumulate(np.where(known, at, values.size)[::-1])[::-1]
    is_bridged = ~known & (last >= 0) & (following - last - 1 <= LONGEST_BRIDGE_DAYS)
    since = last[is_bridged]
    filled = values.copy()
    filled[is_bridged] = curve[is_bridged] + values[since] - curve[since]
    return Bridged(filled, is_bridged)


@dataclass(frozen=True, slots=True)
class Gap:
    """Days in a row without both temperatures."""

    first: date
    last: date
    days: int

    @property
    def is_short(self) -> bool:
        """Whether it may be bridged."""
        return self.days <= LONGEST_BRIDGE_DAYS


def gaps_of(weather: DailyWeather) -> tuple[Gap, ...]:
    """Return the gaps between the first and the last whole day of a record, in order."""
    at = np.flatnonzero(weather.whole)
    dates = weather.dates
    return tuple(
        Gap(dates[at[each] + 1].item(), dates[at[each + 1] - 1].item(), int(at[each + 1] - at[each] - 1))
        for each in np.flatnonzero(np.diff(at) > 1)
    )


def uncrossed(
    tmin_c: FloatArray, tmax_c: FloatArray, may_move: NDArray[np.bool_]
) -> tuple[FloatArray, FloatArray]:
    """Part a filled minimum that came out above its maximum; what was observed does not move.

    Parameters
    ----------
    tmin_c, tmax_c : ndarray, shape (..., n)
        Lowest and highest temperature. [°C]
    may_move : ndarray of bool, shape (2, n)
        Days on which the minimum, or the maximum, was filled in.
    """
    crossed = tmin_c > tmax_c
    if not crossed.any():
        return tmin_c, tmax_c
    low_moves, high_moves = may_move[0].astype(bool), may_move[1].astype(bool)
    middle = (tmin_c + tmax_c) / 2
    meeting = np.where(low_moves & high_moves, middle, np.where(low_moves, tmax_c, tmin_c))
    return np.where(crossed, meeting, tmin_c), np.where(crossed, meeting, tmax_c)
