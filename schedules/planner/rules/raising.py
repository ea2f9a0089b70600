"""Starting young plants under cover."""

from schedules.planner.drafts import Draft, Ground, practice
from schedules.planner.sources import PRACTICE, joined
from schedules.planner.types import Kind, Reason, State
from schedules.planner.windows import Span

# Plants begun a week late are still worth the planting.
LATE_DAYS = 7
HARDENING_DAYS = 7


def raise_under_cover(ground: Ground) -> list[Draft]:
    """Ask for the start of what is planted out later.

    Where the time for it is past they may be begun at once and planted later, while that leaves a season;
    after that only bought plants help. Begun late they are begun within the week: what may be planted for
    months is no reason to put the raising off, nor to drag the planting out.
    """
    days = ground.figure("raising_days")
    outcome = ground.record.get(f"{ground.request.key}/{Kind.RAISE}")
    is_begun = outcome is not None and outcome.state is State.DONE
    if ground.crop.grown_from != "transplant" or days is None or (ground.sowing.is_done and not is_begun):
        return []
    planting, today = Span.over(ground.sowing.planned), ground.curves.today
    span = planting.moved(-round(days))
    is_late = not is_begun and span.by + LATE_DAYS < today
    is_past = is_late and today + days > ground.sowing.closes
    late_by = min(max(today, ground.sowing.closes - round(days)), today + LATE_DAYS)
    values = ground.computed(
        raising_days=days,
        start_on=ground.day(span.best),
        plant_on=ground.day(planting.best),
        is_late=is_late,
        is_past=is_past,
        late_on=ground.day(today + days),
        sow_depth_mm=ground.figure("sow_depth_mm"),
        optimum_soil_c=ground.figure("optimum_soil_c"),
    )
    if is_past:
        span = Span(today, planting.best, planting.by).no_later_than(planting)
    elif is_late:
        span = Span(today, today, late_by)
    elif not is_begun:
        span = span._replace(by=max(span.by, span.best + LATE_DAYS))
        span = Span.on(today) if span.by < today else span
    reason = Reason("raise_under_cover", values, joined(ground.source("raising_days"), PRACTICE))
    notes = () if is_past else tuple(_in_the_tray(ground))
    return [Draft(Kind.RAISE, span, reason, notes=notes)]


def planting_span(ground: Ground) -> Span:
    """Return the window of planting, long enough for plants that are begun today, late."""
    span, days, today = ground.sowing.span, ground.figure("raising_days"), ground.curves.today
    outcome = ground.record.get(f"{ground.request.key}/{Kind.RAISE}")
    is_open = outcome is None or outcome.state is State.PUT_OFF
    if ground.crop.grown_from != "transplant" or days is None or not is_open or ground.request.sow_on:
        return span
    if ground.sowing.is_done or Span.over(ground.sowing.planned).by - days + LATE_DAYS >= today:
        return span
    ready = today + round(days)
    return (
        span
        if ready > ground.sowing.closes
        else span._replace(by=min(ground.sowing.closes, ready + LATE_DAYS))
    )


def harden_off() -> Reason:
    """Say how young plants are made used to the open before they are planted."""
    return practice("harden_off", PRACTICE, hardening_days=HARDENING_DAYS)


def _in_the_tray(ground: Ground) -> list[Reason]:
    notes = []
    limit_c = ground.figure("heat_limit_c")
    if limit_c is not None:
        notes.append(Reason("keep_trays_cool", {"heat_limit_c": limit_c}, ground.source("heat_limit_c")))
    return notes
