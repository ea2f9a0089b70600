"""A crop that a site ripens in some years only: the best day to try it, and the odds."""

import numpy as np

from schedules.planner.curves import Curves
from schedules.planner.demands import AS_IT_COOLS, counts_by_calendar, opens
from schedules.planner.fitness import DRYNESS, fitness_of
from schedules.planner.seasons import Season
from schedules.planner.sowing import (
    SMALL_SHARE,
    SOWING_WIDTH_DAYS,
    Closing,
    Sowing,
    earliest_day,
    heat_needed,
    is_good_small,
    opening_begins,
)
from schedules.planner.types import Record, SowingRequest
from schedules.planner.windows import Span, fixed

# Less than one year in ten is no gamble but a waste: common practice, no published source.
LEAST_ODDS = 0.1


def risky_sowing(
    request: SowingRequest, curves: Curves, seasons: tuple[Season, ...], record: Record
) -> Sowing | None:
    """Return the sowing that comes off in the most members, for a crop to which most offer no day.

    It comes off where the ground is fit by that day and warmth is left for the quickest sorts, or for
    something small of what may be eaten small. None where hardly any member has such a day.
    """
    if opens(request.crop) == AS_IT_COOLS or counts_by_calendar(request.crop):
        return None
    earliest = max(earliest_day(request, curves, record), curves.today)
    tried = (
        _tried(request, curves, season, max(earliest, opening_begins(request, season)))
        for season in seasons
        if season.rests
    )
    return next((each for each in tried if each is not None and each.odds >= LEAST_ODDS), None)


def _tried(request: SowingRequest, curves: Curves, season: Season, start: int) -> Sowing | None:
    fitness = fitness_of(request, curves)
    heat = heat_needed(request, quickest=True) * (SMALL_SHARE if is_good_small(request.crop) else 1.0)
    fit_from, useful_to = fitness.first(start, DRYNESS), season.last_useful(curves, heat)
    days = np.unique(fit_from[fit_from <= useful_to])
    if not days.size:
        return None
    comes_off = (fit_from <= days[:, None]) & (useful_to >= days[:, None])
    at = int(comes_off.mean(axis=1).argmax())
    day, stop = int(days[at]), int(useful_to[comes_off[at]].min())
    planned = fixed(day, curves.members)
    return Sowing(
        planned=planned,
        taken=planned,
        season=season,
        span=Span(day, day, min(stop, day + SOWING_WIDTH_DAYS)),
        season_span=Span(day, day, stop),
        closing=Closing(stop),
        fitness=fitness,
        decided_by=fitness.decides(start),
        odds=float(comes_off[at].mean()),
    )
