"""When frost comes and goes: in the members of an ensemble, and by season in a daily record.

One convention throughout: a day has frost when its lowest air temperature is at or below 0.0 °C. The choice
is worth weeks: in Seattle the last spring frost of 2013 falls on 4 March by it, and on 22 January where only
readings below 0.0 °C count. The meteorological air frost of Great Britain is the narrower one (0.0 °C itself
is none); the freeze of the United States (32 °F or less) is ours, and the safer one for a tender plant.
"""

from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate import DailyWeather
from schedules.agronomy.thermal_time import NEVER

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

FROST_C = 0.0
EARLY_PCT, MIDDLE_PCT, LATE_PCT = 10.0, 50.0, 90.0
# An unknown night or two between mild ones was mild: common practice, no published source.
BRIDGED_NIGHTS, MILD_C = 3, 7.0


def last_frost(tmin_c: FloatArray, begin: int, stop: int) -> IntArray:
    """Find each member's last frost of a span of days.

    Parameters
    ----------
    tmin_c : ndarray, shape (members, days)
        Lowest air temperature of the day. [°C], never NaN.
    begin, stop : int
        Days looked at: ``begin <= index < stop``, cut to the days there are.

    Returns
    -------
    ndarray of int, shape (members,)
        Index of the last day at or below 0.0 °C, counted from the first day of ``tmin_c``; -1 where the span
        has none.

    Raises
    ------
    ValueError
        When a day looked at is NaN: an unknown night is not one without frost.
    """
    frosty, begin = _frosty(tmin_c, begin, stop)
    if not frosty.shape[1]:
        return np.full(frosty.shape[0], NEVER)
    last = begin + frosty.shape[1] - 1 - frosty[:, ::-1].argmax(axis=1)
    return np.where(frosty.any(axis=1), last, NEVER)


def first_frost(tmin_c: FloatArray, begin: int, stop: int) -> IntArray:
    """Find each member's first frost of a span of days; as :func:`last_frost` in all else."""
    frosty, begin = _frosty(tmin_c, begin, stop)
    if not frosty.shape[1]:
        return np.full(frosty.shape[0], NEVER)
    return np.where(frosty.any(axis=1), begin + frosty.argmax(axis=1), NEVER)


def _frosty(tmin_c: FloatArray, begin: int, stop: int) -> tuple[NDArray[np.bool_], int]:
    begin = max(begin, 0)
    nights = tmin_c[:, begin : max(stop, begin)]
    if np.isnan(nights).any():
        raise ValueError("frost: a night of the span has no tmin_c; lay the gap out or leave its days out")
    return nights <= FROST_C, begin


@dataclass(frozen=True, slots=True, eq=False)
class FrostDates:
    """The last frosts of spring, or the first of autumn, one for each year that can tell.

    Parameters
    ----------
    years : ndarray of int, shape (n,)
        Calendar years whose half-year counts.
    days : ndarray, shape (n,)
        Day of that year on which the frost fell, 1 January = 1. [day], NaN where the half-year had none.
    """

    years: IntArray
    days: FloatArray

    @property
    def share_without(self) -> float:
        """Share of the years without any frost in that half, 0 to 1; NaN without a year."""
        return float(np.isnan(self.days).mean()) if self.days.size else float("nan")

    def on(self, year: int) -> date | None:
        """Return the day of one year's frost, None where it had none; KeyError for a year not counted."""
        found = self.days[self.years == year]
        if not found.size:
            raise KeyError(year)
        return None if np.isnan(found[0]) else date(year, 1, 1) + timedelta(days=int(found[0]) - 1)

    def percentiles(self, levels: tuple[float, ...] = (EARLY_PCT, MIDDLE_PCT, LATE_PCT)) -> FloatArray:
        """Return percentiles of the day among the years that had frost, straight between ranks.

        Parameters
        ----------
        levels : tuple of float
            Percentiles, 0 to 100. A high one is a late frost: the 90th of spring is the day after which frost
            came in one frost year of ten.

        Returns
        -------
        ndarray, shape (levels,)
            Day of the year. [day], NaN where no year had frost.

        Notes
        -----
        The answer has two parts, as in the freeze and frost probabilities of the United States climate
        normals: ``share_without`` of the years, and the dates among the others [1]_. Percentiles are numpy's
        linear ones.

        References
        ----------
        .. [1] National Climatic Data Center, Freeze/Frost Data, Climatography of the U.S. No. 20, 1971-2000
           (description read second-hand).
        """
        frosts = self.days[~np.isnan(self.days)]
        return np.percentile(frosts, levels) if frosts.size else np.full(len(levels), np.nan)

    def odds_after(self, day_of_year: float) -> float:
        """Return the share of all years, frostless ones included, with this frost after a day of the year.

        Of last spring frosts it is the risk that a plant set out on that day meets frost yet; NaN without a
        year.
        """
        return float((self.days > day_of_year).mean()) if self.days.size else float("nan")

    def odds_before(self, day_of_year: float) -> float:
        """Return the share of all years with this frost before a day of the year: the risk in autumn."""
        return float((self.days < day_of_year).mean()) if self.days.size else float("nan")


@dataclass(frozen=True, slots=True, eq=False)
class FreezeFree:
    """Days between the last frost of spring and the first of the autumn after it.

    Parameters
    ----------
    years : ndarray of int, shape (n,)
        Calendar years of the springs.
    days : ndarray, shape (n,)
        Days strictly between the two frosts. [day]
    is_at_least : ndarray of bool, shape (n,)
        Where a half-year had no frost: the span then runs to the end of that half and may be longer.
    """

    years: IntArray
    days: FloatArray
    is_at_least: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class FrostRecord:
    """What a daily record says of frost."""

    spring: FrostDates
    autumn: FrostDates
    freeze_free: FreezeFree


def frost_record(record: DailyWeather, *, southern: bool) -> FrostRecord:
    """Read the last spring and first autumn frosts of every year off a daily record.

    Parameters
    ----------
    record : DailyWeather
        Lowest temperatures, NaN where not observed.
    southern : bool
        South of the equator spring is July to December and autumn January to June.

    Returns
    -------
    FrostRecord
        A half-year counts when the record runs through all of it and no unknown night could move its date:
        one between two frosts or on their far side from midsummer cannot, one nearer midsummer can, unless it
        stands in a gap of at most three nights between two of 7 °C or more.

    Notes
    -----
    Years are split between 30 June and 1 July. A half-year without frost counts only when all its nights are
    known. Dropping the years with a gap between frost and midsummer favours neither early nor late frosts so
    long as gaps fall by chance.
    """
    spring: dict[int, float] = {}
    autumn: dict[int, float] = {}
    for year in _years(record):
        for is_later in (False, True):
            is_spring = is_later == southern
            found = _of_half(record, year, is_later=is_later, is_spring=is_spring)
            if found is not None:
                (spring if is_spring else autumn)[year] = found
    return FrostRecord(_dates(spring), _dates(autumn), _freeze_free(spring, autumn, southern=southern))


def _years(record: DailyWeather) -> range:
    last = record.first + timedelta(days=max(record.tmin_c.size - 1, 0))
    return range(record.first.year, last.year + 1)


def _bounds(year: int, *, is_later: bool) -> tuple[date, date]:
    """First day of a half-year and of the one after it."""
    return (date(year, 7, 1), date(year + 1, 1, 1)) if is_later else (date(year, 1, 1), date(year, 7, 1))


def _of_half(record: DailyWeather, year: int, *, is_later: bool, is_spring: bool) -> float | None:
    """Return the day of the year of the frost, NaN for none, None where the record cannot tell."""
    opens, shuts = _bounds(year, is_later=is_later)
    begin, stop = (opens - record.first).days, (shuts - record.first).days
    if begin < 0 or stop > record.tmin_c.size:
        return None
    nights = _bridged(record.tmin_c[begin:stop])
    # Seen from midsummer, spring runs backwards: its last frost comes first, and an unknown night before it
    # could be the frost itself.
    from_midsummer = nights[::-1] if is_spring else nights
    doubtful = np.flatnonzero((from_midsummer <= FROST_C) | np.isnan(from_midsummer))
    if not doubtful.size:
        return float("nan")
    nearest = int(doubtful[0])
    if np.isnan(from_midsummer[nearest]):
        return None
    index = nights.size - 1 - nearest if is_spring else nearest
    return float((opens - date(year, 1, 1)).days + index + 1)


def _bridged(nights_c: FloatArray) -> FloatArray:
    """Return the nights with those of short gaps between mild ones set to the milder limit."""
    known = np.flatnonzero(~np.isnan(nights_c))
    if known.size in (0, nights_c.size):
        return nights_c
    filled = nights_c.copy()
    for before, after in pairwise(known):
        is_mild = min(nights_c[before], nights_c[after]) >= MILD_C
        if is_mild and 1 < after - before <= BRIDGED_NIGHTS + 1:
            filled[before + 1 : after] = MILD_C
    return filled


def _dates(found: dict[int, float]) -> FrostDates:
    return FrostDates(np.array(list(found), dtype=np.int64), np.array(list(found.values()), dtype=float))


def _freeze_free(spring: dict[int, float], autumn: dict[int, float], *, southern: bool) -> FreezeFree:
    years, days, is_at_least = [], [], []
    for year, last in spring.items():
        later = year + 1 if southern else year
        if later not in autumn:
            continue
        first = autumn[later]
        opens, _ = _bounds(year, is_later=southern)
        _, shuts = _bounds(later, is_later=not southern)
        from_day = opens if np.isnan(last) else date(year, 1, 1) + timedelta(days=int(last))
        until = shuts if np.isnan(first) else date(later, 1, 1) + timedelta(days=int(first) - 1)
        years.append(year)
        days.append(float((until - from_day).days))
        is_at_least.append(bool(np.isnan(last) or np.isnan(first)))
    return FreezeFree(np.array(years, dtype=np.int64), np.array(days), np.array(is_at_least, dtype=bool))
