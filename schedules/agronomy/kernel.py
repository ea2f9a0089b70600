"""When running sums are reached: for many starts and totals in every member at once."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
# A sum that is reached to the last digit must not wait a day for how a computer adds.
ROUNDING = 1e-6
# More than anything gathers in the years that are ever laid out. [°C day]
ROOM = 1e5


def running_sums(amounts: FloatArray) -> FloatArray:
    """Add up daily amounts.

    Parameters
    ----------
    amounts : ndarray, shape (members, days)
        Daily amounts not below 0, for instance degree days. [°C day], never NaN.

    Returns
    -------
    ndarray, shape (members, days + 1)
        What was gathered before each day; the first column is 0.
    """
    sums = np.zeros((amounts.shape[0], amounts.shape[1] + 1))
    np.cumsum(amounts, axis=1, out=sums[:, 1:])
    return sums


class EndToEnd(NamedTuple):
    """Running sums of all members in one rising row.

    Parameters
    ----------
    raised : ndarray, shape (members, days + 1)
        Each member's sums, raised above all of the member before it and ``ROOM`` more.
    offsets : ndarray of int, shape (members,)
        Place of each member's second column in the flattened array.
    """

    raised: FloatArray
    offsets: IntArray


def end_to_end(sums: FloatArray) -> EndToEnd:
    """Lay the sums of all members end to end, so that one binary search serves all of them.

    Parameters
    ----------
    sums : ndarray, shape (members, days + 1)
        As ``running_sums`` returns them: never falling along a row. Below 1e5.

    Notes
    -----
    Raising costs digits: in 100 members sums stay exact to 2e-9.
    """
    members, width = sums.shape
    step = float(sums[:, -1].max(initial=0.0)) + ROOM
    rows = np.arange(members)
    return EndToEnd(np.ascontiguousarray(sums + step * rows[:, None]), rows * width + 1)


def reached_days(laid: EndToEnd, starts: IntArray, totals: FloatArray) -> IntArray:
    """Find the days on which members have gathered totals, counted from their own starts.

    Parameters
    ----------
    laid : EndToEnd
        Running sums, ``days`` of them in each member.
    starts : ndarray of int, shape (n, members)
        First day counted of each of ``n`` sowings, 0 to ``days``. [day]
    totals : ndarray, shape (k,)
        Sums wanted, above 0 and at most ``ROOM``, in the unit of the sums.

    Returns
    -------
    ndarray of int, shape (n, k, members)
        Index of the day on which the sum, the first day's amount included, comes to the total within 1e-6;
        ``days`` where it does not within the window.

    Raises
    ------
    ValueError
        When a start lies outside 0 to ``days``, or a total is above ``ROOM``.
    """
    days = laid.raised.shape[1] - 1
    if starts.size and not 0 <= starts.min() <= starts.max() <= days:
        raise ValueError(f"starts: a first day lies outside 0 to {days}, the days that were summed")
    if totals.max(initial=0.0) > ROOM:
        raise ValueError(f"totals: {totals.max()} is above {ROOM:g}, the most that can be looked for")
    begun = laid.raised[np.arange(laid.offsets.size), starts]
    found = laid.raised.ravel().searchsorted(begun[:, None, :] + (totals[:, None] - ROUNDING))
    # The first place of at least the total is one past the day whose amount reached it.
    found -= laid.offsets
    return np.minimum(found, days, out=found)
