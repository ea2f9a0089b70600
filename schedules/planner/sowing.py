"""Choosing the day of sowing: the recorded one, the one asked for, or the first fit one."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from schedules.planner.curves import Curves
from schedules.planner.demands import (
    AS_IT_COOLS,
    AS_IT_WARMS,
    counts_by_calendar,
    establish_days,
    growth_degree_days,
    opens,
    raised_days,
    threshold_c,
)
from schedules.planner.fitness import first_fit
from schedules.planner.seasons import Season
from schedules.planner.types import Kind, Record, SowingRequest, State
from schedules.planner.windows import EARLY_PCT, MIDDLE_PCT, Days, Span, fixed, percentile

ENDLESS_SEASON_DAYS = 364
WARM_LEAD_DAYS = 21
FROZEN_C = 0.0


class Closing(NamedTuple):
    """A season's last useful day, and whether the season is too short for all but the quickest sorts."""

    day: int
    is_short: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Sowing:
    """The chosen day: as planned, as followers must take it, and the season it falls in."""

    planned: Days
    taken: Days
    season: Season
    season_span: Span
    closing: Closing
    is_done: bool = False
    is_rolled: bool = False

    @property
    def closes(self) -> int:
        return self.closing.day

    @property
    def span(self) -> Span:
        return Span.over(self.planned)


def heat_needed(request: SowingRequest, *, quickest: bool = False) -> float:
    """Return the degree days that make a sowing useful: those of the middle of the days to maturity.

    The fewest days are those of the ``quickest`` sorts alone; a sowing that names no sort cannot count on
    them where the season leaves a choice.
    """
    establishing = establish_days(request.crop)
    if establishing is not None:
        return growth_degree_days(request, establishing)
    if counts_by_calendar(request.crop) or not request.has_days:
        return 0.0
    days = request.days_min if quickest else request.days_middle
    return growth_degree_days(request, max(1.0, days - raised_days(request.crop)))


def season_closes(request: SowingRequest, curves: Curves, season: Season) -> Closing:
    """Return the last useful day; what is planted as the ground cools may go in until it freezes.

    A season too short for the middle of the days, from its very opening on, is left to the quickest sorts.
    """
    if opens(request.crop) == AS_IT_COOLS:
        frozen = np.median(curves.seedbed_c[:, season.midsummer : season.until], axis=0) < FROZEN_C
        return Closing(season.midsummer + int(frozen.argmax()) - 1 if frozen.any() else season.until)
    closes = season.closes(curves, heat_needed(request))
    if closes >= percentile(opening_days(request, curves, season, 0), MIDDLE_PCT):
        return Closing(closes)
    quickest = season.closes(curves, heat_needed(request, quickest=True))
    return Closing(quickest, is_short=quickest > closes)


def opening_days(request: SowingRequest, curves: Curves, season: Season, earliest: int) -> Days:
    """Return each member's first fit day of a season, from ``earliest`` on."""
    crop = request.crop
    start = max(earliest, season.begins if opens(crop) == AS_IT_WARMS else season.midsummer)
    if opens(crop) == AS_IT_COOLS:
        return first_fit(-curves.seedbed_c, -threshold_c(crop), start)
    return first_fit(curves.seedbed_c, threshold_c(crop), start)


def cover_laid_on(request: SowingRequest, record: Record) -> date:
    """Return the day from which a cover warms the ground: as recorded, else the earliest it can be."""
    outcome = record.get(f"{request.key}/{Kind.WARM}")
    if outcome and outcome.state is State.DONE and outcome.on:
        return outcome.on
    return request.sow_on - timedelta(days=WARM_LEAD_DAYS) if request.sow_on else request.not_before


def choose_sowing(
    request: SowingRequest, curves: Curves, seasons: tuple[Season, ...], record: Record
) -> Sowing | None:
    """Return the sowing, or None when no day within the weather laid out is fit."""
    outcome = record.get(f"{request.key}/{Kind.SOW}")
    if outcome and outcome.state is State.DONE and outcome.on:
        day = curves.index_of(outcome.on, f"record of {request.key}/sow")
        return _on_day(request, curves, seasons, day, is_done=True)
    later = 0
    if outcome and outcome.state is State.PUT_OFF and outcome.on:
        later = curves.index_of(outcome.on, f"record of {request.key}/sow")
    if request.sow_on:
        return _on_day(request, curves, seasons, max(later, curves.index_of(request.sow_on, "sow_on")))
    earliest = max(later, curves.index_of(request.not_before, "not_before"))
    return _when_fit(request, curves, seasons, earliest)


def _on_day(
    request: SowingRequest, curves: Curves, seasons: tuple[Season, ...], day: int, *, is_done: bool = False
) -> Sowing:
    season = next((each for each in seasons if each.median_end >= day), seasons[-1])
    planned = fixed(day, curves.members)
    return Sowing(
        planned=planned,
        taken=planned if is_done else np.maximum(planned, curves.today),
        season=season,
        season_span=Span.on(day),
        closing=season_closes(request, curves, season),
        is_done=is_done,
    )


def _when_fit(
    request: SowingRequest, curves: Curves, seasons: tuple[Season, ...], earliest: int
) -> Sowing | None:
    missed = False
    for season in seasons:
        start = max(earliest, season.begins)
        closing = season_closes(request, curves, season)
        closes = min(closing.day, start + ENDLESS_SEASON_DAYS)
        opening = opening_days(request, curves, season, earliest)
        best = max(percentile(opening, MIDDLE_PCT), curves.today)
        if best <= closes:
            planned = np.minimum(opening, closes)
            return Sowing(
                planned=planned,
                taken=np.maximum(planned, curves.today),
                season=season,
                season_span=Span(percentile(planned, EARLY_PCT), best, closes),
                closing=closing._replace(day=closes),
                is_rolled=missed,
            )
        missed = missed or season.begins <= earliest <= season.median_end
    return None
