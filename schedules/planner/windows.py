"""From member days to windows: percentiles, and spans of whole days that keep their order.

A day is an index into the ensemble. An event that a member never reaches lies at the horizon, one past the
last day, so that comparisons stay monotone.
"""

import math
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from schedules.planner.types import Window

Days = NDArray[np.float64]

EARLY_PCT, MIDDLE_PCT, LATE_PCT = 20, 50, 80
THREAT_PCT = 10


def percentile(days: Days, pct: float) -> int:
    """Return a percentile over members, straight between ranks, rounded to a whole day, halves up."""
    ordered = sorted(days.tolist())  # of a few dozen members: quicker than an array's own sorting
    place = (len(ordered) - 1) * pct / 100
    below = int(place)
    above = min(below + 1, len(ordered) - 1)
    return math.floor(ordered[below] + (place - below) * (ordered[above] - ordered[below]) + 0.5)


class Span(NamedTuple):
    """A window in day indices: from, best and by."""

    start: int
    best: int
    by: int

    @classmethod
    def on(cls, day: int) -> "Span":
        return cls(day, day, day)

    @classmethod
    def over(cls, early: Days, middle: Days | None = None, late: Days | None = None) -> "Span":
        """Return the 20th, 50th and 80th percentiles of one set of member days, or of three that rise."""
        start = percentile(early, EARLY_PCT)
        best = max(start, percentile(early if middle is None else middle, MIDDLE_PCT))
        return cls(start, best, max(best, percentile(early if late is None else late, LATE_PCT)))

    def after(self, other: "Span", gap: int = 0) -> "Span":
        """Return this span moved, date by date, to no earlier than ``gap`` days after the other."""
        return Span(*(max(mine, theirs + gap) for mine, theirs in zip(self, other, strict=True)))

    def not_before(self, day: int) -> "Span":
        return Span(*(max(each, day) for each in self))

    def no_later(self, day: int) -> "Span":
        return Span(*(min(each, day) for each in self))

    def no_later_than(self, other: "Span") -> "Span":
        """Return this span with each date no later than the other's."""
        return Span(*(min(mine, theirs) for mine, theirs in zip(self, other, strict=True)))

    def moved(self, days: int) -> "Span":
        return Span(*(each + days for each in self))

    def dates(self, first: date) -> Window:
        return Window(*(first + timedelta(days=each) for each in self))


def fixed(day: float, members: int) -> Days:
    """Return one day for every member."""
    return np.full(members, float(day))
