"""Stretches of a season in which a crop may go in, and what parts them: heat, cold, or slow growth."""

from typing import NamedTuple

import numpy as np

from schedules.agronomy.kernel import reached_days
from schedules.planner.curves import Curves
from schedules.planner.demands import (
    counts_by_calendar,
    grown_cd,
    stands_young,
    threshold_c,
    waits_for_frost,
)
from schedules.planner.fitness import COLD, HEAT, RIPENING, SLOW, Fitness
from schedules.planner.seasons import Season, turns_of
from schedules.planner.site_curves import BoolArray, FloatArray
from schedules.planner.types import SowingRequest

# Fewer unfit days than this part nothing.
LEAST_UNFIT_DAYS = 10
# Where no cold ends growth, what takes more than twice the days of the year's quickest sowing is out of
# season, half again towards winter where it waits for frost to be past: common practice, no published source.
SLOWEST_TIMES, SLOWEST_TENDER_TIMES = 2.0, 1.5


class Stretch(NamedTuple):
    """Days on which a crop may go in, both ends included, and what stands before and after them, if any."""

    begins: int
    until: int
    opened_by: str = ""
    closed_by: str = ""


def stretches(
    request: SowingRequest, curves: Curves, fitness: Fitness, season: Season, begin: int, stop: int
) -> list[Stretch]:
    """Return the stretches between ``begin`` and ``stop``, parted by ten or more unfit days on end.

    A day is unfit when most members are too hot. Where growth never rests it is also when the soil is usually
    too cold, or growth so slow that the crop is better sown at another time.
    """
    causes = {HEAT: fitness.is_hot, RIPENING: fitness.is_harsh}
    if not season.rests:
        causes[COLD] = np.median(curves.seedbed_c, axis=0) < threshold_c(request.crop)
        causes[SLOW] = ~quick_enough(request, curves, ~(causes[HEAT] | causes[RIPENING]))

    def cause(day: int) -> str:
        return next(name for name, unfit in causes.items() if unfit[day])

    unfit = np.any(list(causes.values()), axis=0)
    return [
        Stretch(
            since,
            until,
            opened_by=cause(since - 1) if since > begin else "",
            closed_by=cause(until + 1) if until < stop else "",
        )
        for since, until in unfit_spells(unfit, begin, stop)
    ]


def unfit_spells(unfit: BoolArray, begin: int, stop: int) -> list[tuple[int, int]]:
    """Return the parts of a season, both ends included, that its lasting unfit spells leave."""
    parts, since = [], begin
    inside = unfit[begin : stop + 1]
    edges = np.flatnonzero(np.diff(np.concatenate([[False], inside, [False]]).astype(int)))
    for starts, ends in edges.reshape(-1, 2):
        if ends - starts < LEAST_UNFIT_DAYS:
            continue
        if begin + starts > since:
            parts.append((since, begin + int(starts) - 1))
        since = begin + int(ends)
    return [*parts, (since, stop)] if since <= stop else parts


def quick_enough(request: SowingRequest, curves: Curves, bearable: BoolArray) -> BoolArray:
    """Return the days from which a crop does not take many times as long as from the year's best day.

    The best is looked for among the ``bearable`` days. What stands the winter young is given its time.
    """
    crop = request.crop
    if not request.has_days or counts_by_calendar(crop) or stands_young(crop):
        return np.ones(curves.horizon, dtype=bool)
    takes = _days_taken(curves, grown_cd(request, request.days_middle))
    is_known = np.isfinite(takes) & bearable
    if not is_known.any():
        return np.ones(curves.horizon, dtype=bool)
    times = np.full(curves.horizon, SLOWEST_TIMES)
    if waits_for_frost(crop):
        for _, warmest, coldest in turns_of(curves.shared):
            times[max(warmest, 0) : max(coldest, 0)] = SLOWEST_TENDER_TIMES
    return np.isnan(takes) | (takes <= times * takes[is_known].min())


def _days_taken(curves: Curves, total: float) -> FloatArray:
    """Return the days that most members take to a heat sum from each day on; NaN past the horizon."""
    key = ("days taken", curves.base_c, curves.optimum_c, total)

    def count() -> FloatArray:
        days = curves.horizon
        starts = np.broadcast_to(np.arange(days)[:, None], (days, curves.members))
        laid = curves.shared.heat_end_to_end(curves.base_c, curves.optimum_c)
        ripe = np.median(reached_days(laid, starts, np.array([total]))[:, 0], axis=1)
        return np.where(ripe < days, ripe - np.arange(days), np.nan)

    return curves.shared.once(key, count)
