"""When running sums are reached: for many starts and totals in every member at once."""

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
# A sum that is reached to the last digit must not wait a day for how a computer adds.
ROUNDING = 1e-6


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


def reached_days(sums: FloatArray, starts: IntArray, totals: FloatArray) -> IntArray:
    """Find the days on which members have gathered totals, counted from their own starts.

    Parameters
    ----------
    sums : ndarray, shape (members, days + 1)
        As ``running_sums`` returns them: never falling along a row.
    starts : ndarray of int, shape (n, members)
        First day counted of each of ``n`` sowings, 0 to ``days``. [day]
    totals : ndarray, shape (k,)
        Sums wanted, above 0, in the unit of ``sums``.

    Returns
    -------
    ndarray of int, shape (n, k, members)
        Index of the day on which the sum, the first day's amount included, comes to the total within 1e-6;
        ``days`` where it does not within the window.

    Raises
    ------
    ValueError
        When a start lies outside 0 to ``days``.

    Notes
    -----
    The members' sums are laid end to end, each raised above all before it, so that one binary search serves
    all of them. The raising costs digits: sums up to 1e5 in 100 members stay exact to 2e-9.
    """
    members, width = sums.shape
    if starts.size and not 0 <= starts.min() <= starts.max() < width:
        raise ValueError(f"starts: a first day lies outside 0 to {width - 1}, the days that were summed")
    step = float(sums[:, -1].max() + totals.max(initial=0.0)) + 1.0
    rows = np.arange(members)
    raised = sums + step * rows[:, None]
    wanted = raised[rows, starts][:, None, :] + (totals[:, None] - ROUNDING)
    found = np.searchsorted(raised.ravel(), wanted.ravel()).reshape(wanted.shape)
    # The first place of at least the total is one past the day whose amount reached it.
    found -= rows * width + 1
    return np.minimum(found, width - 1, out=found)
