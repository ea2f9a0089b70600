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
    return _at_rank(in_order(days), pct)


def in_order(days: Days) -> list[float]:
    """Return what a few dozen members say, least first; a list of so few is quicker than an array."""
    return sorted(days.tolist())


def _at_rank(ordered: list[float], pct: float) -> int:
    place = (len(ordered) - 1) * pct / 100
    below = int(place)
    above = min(below + 1, len(ordered) - 1)
    return math.floor(ordered[below] + (place - below) * (ordered[above] - ordered[below]) + 0.5)


def median(values: Days) -> float:
    """Return the middle of one figure a member, none of them NaN: numpy's median to the last digit."""
    ordered = in_order(values)
    half = len(ordered) // 2
    return ordered[half] if len(ordered) % 2 else (ordered[half - 1] + ordered[half]) / 2


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
        first = in_order(early)
        start = _at_rank(first, EARLY_PCT)
        best = max(start, _at_rank(first if middle is None else in_order(middle), MIDDLE_PCT))
        return cls(start, best, max(best, _at_rank(first if late is None else in_order(late), LATE_PCT)))

    def after(self, other: "Span", gap: int = 0) -> "Span":
        """Return this span moved, date by date, to no earlier than ``gap`` days after the other."""
        return Span(
            max(self.start, other.start + gap), max(self.best, other.best + gap), max(self.by, other.by + gap)
        )

    def not_before(self, day: int) -> "Span":
        return Span(max(self.start, day), max(self.best, day), max(self.by, day))

    def no_later(self, day: int) -> "Span":
        return Span(min(self.start, day), min(self.best, day), min(self.by, day))

    def no_later_than(self, other: "Span") -> "Span":
        """Return this span with each date no later than the other's."""
        return Span(min(self.start, other.start), min(self.best, other.best), min(self.by, other.by))

    def moved(self, days: int) -> "Span":
        return Span(self.start + days, self.best + days, self.by + days)

    def dates(self, first: date) -> Window:
        return Window(*(first + timedelta(days=each) for each in self))


def fixed(day: float, members: int) -> Days:
    """Return one day for every member."""
    return np.full(members, float(day))
