"""Heat: too much of it for the seed, for the young crop, or when the crop flowers or hearts."""

from typing import NamedTuple

import numpy as np

from plots.crops import Crop
from schedules.agronomy.kernel import reached_days
from schedules.planner.curves import Curves
from schedules.planner.demands import (
    AS_IT_COOLS,
    counts_by_calendar,
    grown_cd,
    hottest_air_c,
    hottest_month_c,
    hottest_soil_c,
    opens,
)
from schedules.planner.seasons import smoothed_air_c
from schedules.planner.site_curves import BoolArray, FloatArray
from schedules.planner.types import SowingRequest

HEAT_LOOK_DAYS = 30
ALWAYS_HOT_SHARE = 0.05
WHOLE_YEAR_DAYS = 366


class Ripening(NamedTuple):
    """No hotter air than ``limit_c`` between two heat sums of one count of warmth."""

    base_c: float
    optimum_c: float | None
    part_cd: float
    total_cd: float
    limit_c: float


def starts_cool(request: SowingRequest, curves: Curves) -> BoolArray:
    """Return the days neither too hot for the seed nor, over the month that follows, for the young crop."""
    air_c = curves.shared.once("air of the month ahead", lambda: _ahead(curves.air_c))
    bearable: BoolArray = air_c <= hottest_air_c(request.crop)
    hottest = hottest_soil_c(request.crop)
    return bearable if hottest is None else bearable & (curves.seedbed_c <= hottest)


def ripens_cool(request: SowingRequest, curves: Curves) -> BoolArray:
    """Return the days sown on which the crop flowers, hearts or swells in no hotter air than it bears.

    That is looked for where its own growth puts it: from full cover, at which flowering begins, to the first
    gathering (FAO Irrigation and Drainage Paper 56, chapter 6, on the stages). True where no limit is known.
    """
    asked = ripening_asked(request, curves)
    if asked is None:
        return np.ones((1, curves.horizon), dtype=bool)
    key = ("air at ripening", asked.base_c, asked.optimum_c, asked.part_cd, asked.total_cd)
    means_c = curves.shared.once(key, lambda: _mean_between(curves, asked.part_cd, asked.total_cd))
    return means_c <= asked.limit_c


def ripening_asked(request: SowingRequest, curves: Curves) -> Ripening | None:
    """Return what a crop asks of the air while it ripens; None where no limit is known or met."""
    limit_c = hottest_month_c(request.crop)
    is_known = limit_c is not None and request.has_days and not counts_by_calendar(request.crop)
    if limit_c is None or not is_known or _hottest_fortnight_c(curves) <= limit_c:
        return None
    total = grown_cd(request, request.days_middle)
    return Ripening(curves.base_c, curves.optimum_c, _full_cover(request.crop) * total, total, limit_c)


def always_too_hot(request: SowingRequest, curves: Curves) -> float | None:
    """Return the warmest month that a crop bears where nearly every sowing meets a hotter one; else None."""
    if opens(request.crop) == AS_IT_COOLS:
        return None
    if _is_rare(starts_cool(request, curves)):
        return hottest_air_c(request.crop)
    return hottest_month_c(request.crop) if _is_rare(ripens_cool(request, curves)) else None


def _is_rare(allowed: BoolArray) -> bool:
    """True where most members allow hardly a day; what the last year allows may lie past the horizon."""
    in_most = allowed[:, :-WHOLE_YEAR_DAYS].mean(axis=0) >= 0.5
    return bool(in_most.size and in_most.mean() < ALWAYS_HOT_SHARE)


def _hottest_fortnight_c(curves: Curves) -> float:
    air_c = smoothed_air_c(curves.shared)
    return curves.shared.once("hottest fortnight", lambda: float(air_c.max()))


def _full_cover(crop: Crop) -> float:
    """Return the share of a crop's growth after which it covers the ground."""
    shares = crop.fact("stage_shares").value
    assert isinstance(shares, tuple), crop.key
    return sum(shares[:2]) / sum(shares)


def _mean_between(curves: Curves, part: float, total: float) -> FloatArray:
    """Return the mean air between two heat sums of a sowing on each day, past the horizon a year's before."""
    days, members = curves.horizon, curves.members
    starts = np.broadcast_to(np.arange(days)[:, None], (days, members))
    laid = curves.shared.heat_end_to_end(curves.base_c, curves.optimum_c)
    reached = reached_days(laid, starts, np.array([part, total]))
    since, until = reached[:, 0].T, reached[:, 1].T
    sums = np.zeros((members, days + 1))
    np.cumsum(curves.air_c, axis=1, out=sums[:, 1:])
    rows, stop = np.arange(members)[:, None], np.minimum(until + 1, days)
    mean_c: FloatArray = (sums[rows, stop] - sums[rows, since]) / np.maximum(stop - since, 1)
    mean_c[until >= days] = -np.inf
    late = mean_c[:, WHOLE_YEAR_DAYS:]
    late[:] = np.where(until[:, WHOLE_YEAR_DAYS:] >= days, mean_c[:, :-WHOLE_YEAR_DAYS], late)
    return mean_c


def _ahead(air_c: FloatArray) -> FloatArray:
    """Return the mean of each day and the thirty after it, of those there are."""
    days = air_c.shape[1]
    sums = np.zeros((air_c.shape[0], days + 1))
    np.cumsum(air_c, axis=1, out=sums[:, 1:])
    stop = np.minimum(np.arange(days) + HEAT_LOOK_DAYS, days)
    return (sums[:, stop] - sums[:, :-1]) / (stop - np.arange(days))
