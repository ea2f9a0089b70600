"""Choosing the day of sowing: the recorded one, the one asked for, or the first fit one."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from plots.crops import Crop
from schedules.agronomy.soil_temperature import COVER_WARMTH_C
from schedules.planner.curves import Curves
from schedules.planner.demands import (
    AFTER_MIDSUMMER,
    AS_IT_COOLS,
    AS_IT_WARMS,
    counts_by_calendar,
    establish_days,
    grown_cd,
    growth_degree_days,
    opens,
    stands_young,
    threshold_c,
)
from schedules.planner.fitness import (
    DRYNESS,
    FROST,
    PLANTS,
    WARMTH,
    Fitness,
    fitness_of,
    warms_on,
)
from schedules.planner.seasons import Season
from schedules.planner.stretches import Stretch, stretches
from schedules.planner.types import Kind, Record, SowingRequest, State
from schedules.planner.windows import EARLY_PCT, LATE_PCT, MIDDLE_PCT, Days, Span, fixed, percentile

YEAR_DAYS = 364
YEAR_ROUND = "year round"
WARM_LEAD_DAYS = 21
FROZEN_C = 0.0
# Seven tenths of the warmth of the quickest sorts make something worth lifting: common practice.
SMALL_SHARE, SMALL_HASTE_DAYS = 0.7, 14
# A season that closes to middling sorts within a fortnight of its opening leaves no choice: common practice.
CHOICE_DAYS = 14
MUST_RIPEN = frozenset({"fruits", "cobs", "berries"})
# A window of fewer days would be late before a grower with a weekend plot has read of it: common practice.
SOWING_WIDTH_DAYS = 7
HARD_WINTER_C = 0.0
MONTH_DAYS = 30
WINTER_TAIL_DAYS = 60


class Closing(NamedTuple):
    """A season's last useful day, and whether the season is too short for all but the quickest sorts."""

    day: int
    is_short: bool = False


class Chance(NamedTuple):
    """A stretch of a season in which a crop may go in, and what makes its days fit."""

    stretch: Stretch
    fitness: Fitness
    is_short: bool = False
    is_autumn: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Sowing:
    """The chosen day: as planned, as followers must take it, and the season it falls in.

    ``span`` is the window of the job, ``season_span`` the whole time in which it is of use. ``fitness`` is
    None for a day that was set or recorded. ``odds`` is the share of members in which a gamble comes off, 1
    without one. ``wet_share`` is the share of members whose ground is never dry enough in time,
    ``decided_by`` what holds the opening up longest, ``closed_by`` what ends it before its season.
    """

    planned: Days
    taken: Days
    season: Season
    span: Span
    season_span: Span
    closing: Closing
    fitness: Fitness | None = None
    decided_by: str = WARMTH
    closed_by: str = ""
    wet_share: float = 0.0
    odds: float = 1.0
    is_done: bool = False
    is_rolled: bool = False
    is_autumn: bool = False

    @property
    def closes(self) -> int:
        return self.closing.day


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
    return grown_cd(request, request.days_min if quickest else request.days_middle)


def season_closes(request: SowingRequest, curves: Curves, season: Season) -> Closing:
    """Return the last useful day; what is planted as the ground cools may go in until it freezes.

    A season too short for the middle of the days, from a fortnight after its opening on, is left to the
    quickest sorts; one too short for those still grows what may be eaten small, sown as soon as the ground is
    fit. What stands a mild winter and is gathered through it need not be grown out when growth ends: for it
    the fewest days do.
    """
    if opens(request.crop) == AS_IT_COOLS:
        return Closing(freezes_on(curves, season))
    if not season.rests:
        is_bound = opens(request.crop) == AFTER_MIDSUMMER
        return Closing(min(season.until + (0 if is_bound else YEAR_DAYS), curves.horizon - 1))
    stands = request.crop.fact("stands_over_winter").value == "yes" and _is_mild(curves, season)
    closes = season.closes(curves, heat_needed(request, quickest=stands))
    opening = warms_on(curves, threshold_c(request.crop), opening_begins(request, season), curves.cover)
    if closes >= opening + CHOICE_DAYS:
        return Closing(closes)
    heat = heat_needed(request, quickest=True)
    quickest = season.closes(curves, heat)
    if quickest < opening + SMALL_HASTE_DAYS and is_good_small(request.crop):
        small = season.closes(curves, SMALL_SHARE * heat)
        quickest = max(quickest, min(small, opening + SMALL_HASTE_DAYS))
    return Closing(max(closes, quickest), is_short=quickest > closes)


def is_good_small(crop: Crop) -> bool:
    """True for what is eaten before it is grown out: all but fruit that must ripen."""
    return str(crop.fact("harvested_part").value) not in MUST_RIPEN


def freezes_on(curves: Curves, season: Season) -> int:
    """Return the last day before the ground freezes in most members, else the coldest time."""
    warmth_c, begin, stop = float(COVER_WARMTH_C[curves.cover]), season.midsummer, season.until

    def look() -> int:
        frozen = np.median(curves.seedbed_c[:, begin:stop], axis=0) < FROZEN_C
        return begin + int(frozen.argmax()) - 1 if frozen.any() else stop

    return curves.shared.once(("freezes", warmth_c, curves.laid if warmth_c else 0, begin, stop), look)


def opening_begins(request: SowingRequest, season: Season) -> int:
    """Return the day from which a season's fit days are looked for.

    Days of ten hours open it as they close it: what comes up before stands still.
    """
    return season.opens if opens(request.crop) == AS_IT_WARMS else season.midsummer


def chances(request: SowingRequest, curves: Curves, season: Season) -> Iterator[Chance]:
    """Return the stretches of a season in which the crop may go in, earliest first."""
    crop, closing = request.crop, season_closes(request, curves, season)
    fitness, begins = fitness_of(request, curves), opening_begins(request, season)
    if opens(crop) == AS_IT_COOLS:
        yield Chance(Stretch(begins, closing.day), fitness, is_autumn=True)
        return
    for each in stretches(request, curves, fitness, season, begins, closing.day):
        yield Chance(each, fitness, closing.is_short)
    if stands_young(crop) and not counts_by_calendar(crop) and _is_mild(curves, season):
        autumn = fitness_of(request, curves, is_autumn=True)
        # What is not in by the shortest day is better sown in spring: common practice, no published source.
        closes = min(freezes_on(curves, season), season.shortest)
        yield Chance(Stretch(season.midsummer, closes), autumn, is_autumn=True)


def _is_mild(curves: Curves, season: Season) -> bool:
    """True where the coldest month of the winter to come is no colder than young crops stand."""
    begin, stop = season.midsummer, season.until + WINTER_TAIL_DAYS
    if not season.rests or stop > curves.horizon:
        return False  # a place without winter, or a winter that lies beyond the weather laid out

    def coldest_month_c() -> float:
        air_c = np.median(curves.air_c[:, begin:stop], axis=0)
        return float(np.convolve(air_c, np.full(MONTH_DAYS, 1 / MONTH_DAYS), mode="valid").min())

    return curves.shared.once(("coldest month", begin, stop), coldest_month_c) >= HARD_WINTER_C


def _is_autumn(request: SowingRequest, curves: Curves, season: Season, day: int) -> bool:
    """True for a day nearer to the time at which autumn sowings open than to midsummer.

    What is sown sooner belongs to the summer that it is in, and ends with it.
    """
    cooled = fitness_of(request, curves, is_autumn=True).first(season.midsummer, DRYNESS, FROST)
    opening = min(percentile(cooled, MIDDLE_PCT), season.until)
    return 2 * day >= season.midsummer + opening


def cover_laid_on(request: SowingRequest, record: Record, today: date) -> date:
    """Return the day from which a cover warms the ground: as recorded, else the earliest it can be.

    One that nobody recorded is not lying yet, until the crop is sown.
    """
    outcome = record.get(f"{request.key}/{Kind.WARM}")
    if outcome and outcome.state is State.DONE and outcome.on:
        return outcome.on
    usual = request.sow_on - timedelta(days=WARM_LEAD_DAYS) if request.sow_on else request.not_before
    sown = record.get(f"{request.key}/{Kind.SOW}")
    return usual if sown and sown.state is State.DONE else max(usual, today)


def choose_sowing(
    request: SowingRequest, curves: Curves, seasons: tuple[Season, ...], record: Record
) -> Sowing | None:
    """Return the sowing, or None when no day within the weather laid out is fit."""
    outcome = record.get(f"{request.key}/{Kind.SOW}")
    if outcome and outcome.state is State.DONE and outcome.on:
        day = curves.index_of(outcome.on, f"record of {request.key}/sow")
        return _on_day(request, curves, seasons, day, is_done=True)
    earliest = earliest_day(request, curves, record)
    if request.sow_on:
        return _on_day(request, curves, seasons, earliest)
    return _when_fit(request, curves, seasons, earliest, plants_ready(request, curves, record))


def earliest_day(request: SowingRequest, curves: Curves, record: Record) -> int:
    """Return the day set, or the first one allowed, and no earlier than the sowing was put off to."""
    asked, name = (request.sow_on, "sow_on") if request.sow_on else (request.not_before, "not_before")
    outcome, later = record.get(f"{request.key}/{Kind.SOW}"), 0
    if outcome and outcome.state is State.PUT_OFF and outcome.on:
        # Put off to a day long past, it is not put off any more.
        later = curves.index_of(max(outcome.on, curves.first), f"record of {request.key}/sow")
    return max(later, curves.index_of(asked, name))


def plants_ready(request: SowingRequest, curves: Curves, record: Record) -> int:
    """Return the day on which plants that were begun under cover are big enough to be planted; else 0."""
    outcome = record.get(f"{request.key}/{Kind.RAISE}")
    is_begun = outcome is not None and outcome.state is State.DONE and request.crop.has("raising_days")
    if outcome is None or outcome.on is None or not is_begun:
        return 0
    return (outcome.on - curves.first).days + round(request.crop.number("raising_days"))


def _on_day(
    request: SowingRequest, curves: Curves, seasons: tuple[Season, ...], day: int, *, is_done: bool = False
) -> Sowing:
    """Return a sowing on a set or recorded day.

    One set and never recorded is counted from today, as long as it would still be of use; after that its jobs
    keep to its own season.
    """
    season = next((each for each in seasons if each.lasts_to(day)), seasons[-1])
    closing = season_closes(request, curves, season)
    is_autumn = stands_young(request.crop) and day > max(closing.day, season.midsummer)
    if not is_autumn and stands_young(request.crop) and not counts_by_calendar(request.crop):
        before = next((each for each in reversed(seasons) if each.median_end < day <= each.until), None)
        if before is not None:
            season, is_autumn = before, True
    if is_autumn and not counts_by_calendar(request.crop):
        is_autumn = _is_autumn(request, curves, season, day) and (is_done or _is_mild(curves, season))
    if is_autumn:
        closing = Closing(max(closing.day, freezes_on(curves, season)))
    planned = fixed(day, curves.members)
    latest = max(day, min(curves.today, closing.day))
    return Sowing(
        planned=planned,
        taken=planned if is_done else fixed(latest, curves.members),
        season=season,
        span=Span.on(day),
        season_span=Span.on(day),
        closing=closing,
        is_done=is_done,
        is_autumn=is_autumn,
    )


def _when_fit(
    request: SowingRequest, curves: Curves, seasons: tuple[Season, ...], earliest: int, ready: int
) -> Sowing | None:
    """Return the first sowing that a season gives; plants not ready when it closes go in on its last day."""
    missed = False
    # A year without rest passes into the next; it is asked of the year that the first day lies in.
    for season in (each for each in seasons if each.rests or each.until >= earliest):
        for chance in chances(request, curves, season):
            start = max(earliest, chance.stretch.begins)
            stop = min(chance.stretch.until, start + YEAR_DAYS)
            if start > stop:
                continue
            held = max(start, min(ready, stop))
            found = _in_chance(curves, season, chance, held, stop)
            if found is not None:
                is_held = held > start and found.span.start == held
                return replace(found, is_rolled=missed, decided_by=PLANTS if is_held else found.decided_by)
        missed = missed or season.begins <= earliest <= season.median_end
    return None


def _in_chance(curves: Curves, season: Season, chance: Chance, start: int, stop: int) -> Sowing | None:
    """Return the sowing that a chance gives, or None when most members find no fit day in time.

    A member whose ground is never dry enough in time is sown on the first day that is warm enough.
    """
    fitness, ahead, opened_by = chance.fitness, max(start, curves.today), chance.stretch.opened_by
    dry, damp = (fitness.first(ahead, *left_out) for left_out in ((), (DRYNESS,)))
    opening = np.where(dry <= stop, dry, damp)
    best = max(percentile(opening, MIDDLE_PCT), curves.today)
    if best > stop:
        return None
    planned = np.minimum(opening, stop)
    begins = min(percentile(np.minimum(fitness.first(start), planned), EARLY_PCT), best)
    by = min(stop, max(percentile(planned, LATE_PCT), best + SOWING_WIDTH_DAYS))
    return Sowing(
        planned=planned,
        taken=planned,
        season=season,
        span=Span(begins, best, max(best, by)),
        season_span=Span(begins, best, stop),
        closing=Closing(stop, chance.is_short),
        fitness=fitness,
        decided_by=opened_by if opened_by and begins <= chance.stretch.begins + 1 else fitness.decides(start),
        closed_by=YEAR_ROUND if stop == start + YEAR_DAYS else chance.stretch.closed_by,
        wet_share=float(((dry > stop) & (damp <= stop)).mean()),
        is_autumn=chance.is_autumn,
    )
