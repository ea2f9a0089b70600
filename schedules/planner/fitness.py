"""When ground is fit to sow: warm enough on three days running, and not cooling off again."""

import numpy as np

from schedules.planner.curves import FloatArray
from schedules.planner.windows import Days

DAYS_RUNNING = 3
HOLDS_DAYS = 14


def first_fit(seedbed_c: FloatArray, threshold_c: float, start: int) -> Days:
    """Return each member's first fit day from ``start`` on; the number of days when there is none.

    Fit: at or above the threshold on each of the last three days, and not falling. Falling warmth is no bar
    where it holds above the threshold for the fortnight that seed needs, or no one could sow in late summer.
    """
    days = seedbed_c.shape[1]
    begin = max(start, DAYS_RUNNING - 1)
    if begin >= days:
        return np.full(seedbed_c.shape[0], float(days))
    cold = np.concatenate(
        [np.zeros((seedbed_c.shape[0], 1)), np.cumsum(seedbed_c < threshold_c, axis=1)], axis=1
    )
    at = np.arange(begin, days)
    warm = cold[:, at + 1] == cold[:, at - DAYS_RUNNING + 1]
    rising = seedbed_c[:, at] >= seedbed_c[:, at - DAYS_RUNNING + 1]
    holds = cold[:, np.minimum(at + HOLDS_DAYS, days)] == cold[:, at]
    fit = warm & (rising | holds)
    return np.where(fit.any(axis=1), begin + fit.argmax(axis=1), days).astype(float)
