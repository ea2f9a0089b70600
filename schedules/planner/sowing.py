"""Choosing the day of sowing: the recorded one, the one asked for, or the first fit one."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from plots.crops import Crop
from schedules.agronomy.thermal_time import maturity_degree_days
from schedules.planner.curves import Curves
from schedules.planner.fitness import first_fit
from schedules.planner.seasons import Season
from schedules.planner.types import Kind, Record, SowingRequest, State
from schedules.planner.windows import EARLY_PCT, MIDDLE_PCT, Days, Span, fixed, percentile

ENDLESS_SEASON_DAYS = 364
WARM_LEAD_DAYS = 21


@dataclass(frozen=True, slots=True, eq=False)
class Sowing:
    """The chosen day: as planned, as followers must take it, and the season it falls in."""

    planned: Days
    taken: Days
    season: Season
    season_span: Span
    closes: int
    is_done: bool = False
    is_rolled: bool = False

    @property
    def span(self) -> Span:
        return Span.over(self.planned)


def threshold_c(crop: Crop) -> float:
    """Return the soil temperature to wait for: the practical one, else the least for growth at all."""
    for name in ("practical_sow_soil_c", "min_soil_c"):
        if crop.has(name):
            return crop.number(name)
    return crop.number("base_c")


def heat_needed(request: SowingRequest) -> float:
    """Return the degree days that make a sowing useful: those of the middle of the days to maturity.

    The fewest days are those of the quickest sorts alone; a sowing that names no sort cannot count on them.
    """
    return maturity_degree_days(request.days_middle, request.crop.number("base_c"))


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
        closes=season.closes(curves, heat_needed(request)),
        is_done=is_done,
    )


def _when_fit(
    request: SowingRequest, curves: Curves, seasons: tuple[Season, ...], earliest: int
) -> Sowing | None:
    missed = False
    for season in seasons:
        start = max(earliest, season.begins)
        closes = min(season.closes(curves, heat_needed(request)), start + ENDLESS_SEASON_DAYS)
        opening = first_fit(curves.seedbed_c, threshold_c(request.crop), start)
        best = max(percentile(opening, MIDDLE_PCT), curves.today)
        if best <= closes:
            planned = np.minimum(opening, closes)
            return Sowing(
                planned=planned,
                taken=np.maximum(planned, curves.today),
                season=season,
                season_span=Span(percentile(planned, EARLY_PCT), best, closes),
                closes=closes,
                is_rolled=missed,
            )
        missed = missed or season.begins <= earliest <= season.median_end
    return None
