"""Covering a sowing against what flies, and taking the cover off again."""

import numpy as np

from schedules.agronomy.flights import MODELS, PAUSE_SOIL_C, PAUSE_SOURCE, pause_share
from schedules.planner.drafts import Draft, Ground, practice
from schedules.planner.rules.flying import (
    ANYWHERE,
    FIRST,
    NONE,
    ON_THE_WING,
    Threat,
    flights_of,
    insects_of,
    next_event,
    next_threat,
    trapped,
)
from schedules.planner.sources import FLY_HEIGHT, PRACTICE, joined
from schedules.planner.types import Cover, Kind, Reason, Scalar
from schedules.planner.windows import LATE_PCT, MIDDLE_PCT, THREAT_PCT, Days, Span, percentile

CARROT_FLY, CABBAGE_ROOT_FLY = "carrot-fly", "cabbage-root-fly"
IN_HAND_DAYS = 7
# What stands through the winter is not asked to lie under mesh from autumn on: common practice.
LAID_EARLY_DAYS = 35
UNKNOWN_EMERGENCE_DAYS = 21
TALL_CONTAINER_CM = 60.0
LOWEST_BOARD_CM = 10.0
LESS_CATCH_PCT_PER_CM = 0.84
# A cabbage with six weeks' roots bears the fly; the roots themselves, where they are the crop, never do.
ESTABLISHED_DAYS = 42
HOT_DAYS_C, HOT_WEEK_DAYS = 20.0, 7
COLLAR_CM = 10.0
BED_LEAD_WEEKS = 3

BED_WORKED_EARLY = (
    "Agriculture and Horticulture Development Board 2021, on trials of the Processors and Growers Research "
    "Organisation: seedlings lost fell from about 20 % to 1 or 2 %"
)
OLDER_PLANTS_BEAR = (
    "Royal Horticultural Society, cabbage root fly advice: later broods harm leafy brassicas less, roots at "
    f"any time; the six weeks: {PRACTICE}"
)
TOO_HOT = f"off when the week's days reach 20 °C: {PRACTICE}"


def cover_the_rows(ground: Ground, first_thinning: int | None) -> list[Draft]:
    """Ask for a cover where the crop's own pest is about; ``first_thinning`` is the start of that window.

    Ground that carried the family last year gets none where its flies would hatch under it:
    ``trap_warnings`` says so instead.
    """
    if trapped(ground):
        return []
    threats = sorted(_threats(ground), key=lambda threat: threat.early)
    if ground.is_true("cover_seedlings"):
        return [_over_seedlings(ground, threats)]
    if not threats:
        return []
    if all(threat.insect == ANYWHERE for threat in threats):
        return [_until_up(ground, threats[0])]
    return [_before_the_fly(ground, threats, first_thinning)]


def trap_warnings(ground: Ground) -> list[Reason]:
    """Warn where a cover would shut in the flies of last year's crop, in place of the cover."""
    insect = trapped(ground)
    if insect is None:
        return []
    return [Reason("cover_traps_flies", {"family": ground.crop.family, "fly": insect}, PRACTICE)]


def uncover(ground: Ground, covering: list[Draft], lifting: list[Draft]) -> list[Draft]:
    """Ask for a cover to come off where it does harm, or where nothing flies any more.

    A mesh that guards until the crop is up has no such job: it comes off to lift.
    """
    drafts = _off_before_heat(ground, lifting)
    if covering and lifting:
        drafts += _off_between_flights(ground, covering[0], lifting[0])
        drafts += _off_strong_plants(ground, covering[0], lifting[0])
    return drafts


def _threats(ground: Ground) -> list[Threat]:
    """Return what flies while the crop can still be harmed."""
    found = []
    for insect in insects_of(ground):
        threat = next_threat(ground, insect)
        if threat.flight != NONE and threat.early <= _harmed_until(ground, insect):
            found.append(threat)
    return found


def _harmed_until(ground: Ground, insect: str) -> int:
    """Return the last day on which an insect harms the crop: the bean seed fly takes what is not yet up."""
    if insect != ANYWHERE:
        return percentile(ground.growth.ripe_last, LATE_PCT)
    if ground.crop.grown_from != "seed":
        return -1
    if ground.growth.emergence is not None:
        return percentile(ground.growth.emergence, LATE_PCT)
    return percentile(ground.sowing.taken, LATE_PCT) + UNKNOWN_EMERGENCE_DAYS


def _told(ground: Ground, threat: Threat) -> dict[str, Scalar]:
    """Return what a reason says of a threat."""
    events = list(MODELS[threat.insect].events.values())
    second = next((event for event in events if event.flight == 2), None)
    # What lay ahead of the sowing no longer lies ahead of the grower.
    flight = ON_THE_WING if threat.early < ground.curves.today else threat.flight
    return {
        "fly": threat.insect,
        "flight": flight,
        "is_ahead": percentile(ground.sowing.taken, MIDDLE_PCT) > ground.curves.today,
        "first_sum_cd": events[0].sum_cd,
        "base_c": events[0].base_c,
        "second_sum_cd": second.sum_cd if second else None,
        "second_base_c": second.base_c if second else None,
        "threat_pct": THREAT_PCT,
        "threat_on": ground.day(threat.early),
        "threat_best_on": ground.day(percentile(threat.days, MIDDLE_PCT)),
        "grown_from": ground.crop.grown_from,
    }


def _sums(insect: str) -> str:
    events = MODELS[insect].events.values()
    return joined(*(event.source for event in events if event.flight < 3))


def _before_the_fly(ground: Ground, threats: list[Threat], first_thinning: int | None) -> Draft:
    threat = threats[0]
    sown = Span.over(ground.sowing.taken)
    by = max(threat.early, sown.by)
    if first_thinning is not None:
        by = max(sown.by, min(by, first_thinning))
    best = min(by, max(sown.best, by - IN_HAND_DAYS))
    start = min(best, max(sown.start, by - LAID_EARLY_DAYS))
    values = ground.computed(
        **_told(ground, threat),
        also=";".join(each.insect for each in threats[1:]),
        is_before_thinning=first_thinning is not None and first_thinning < threat.early,
    )
    reason = Reason("cover_before_the_fly", values, joined(*(_sums(each.insect) for each in threats)))
    notes = (
        *_early_bed(threats),
        *_height(ground),
        *_stays_on(ground, threat),
        *_later_after_heat(ground, threat),
    )
    return Draft(Kind.COVER, Span(start, best, by), reason, notes=notes)


def _over_seedlings(ground: Ground, threats: list[Threat]) -> Draft:
    """Cover from the first day: flea beetles wait for nobody; where a fly is about its days stand beside."""
    reason = Reason("cover_seedlings", {"grown_from": ground.crop.grown_from}, PRACTICE)
    notes = []
    if threats:
        notes.append(
            Reason(
                "fly_over_seedlings", ground.computed(**_told(ground, threats[0])), _sums(threats[0].insect)
            )
        )
    if ground.crop.grown_from == "transplant" and any(each.insect == CABBAGE_ROOT_FLY for each in threats):
        notes.append(practice("collar_the_stems", PRACTICE, collar_cm=COLLAR_CM))
    return Draft(Kind.COVER, Span.over(ground.sowing.taken), reason, notes=tuple(notes))


def _until_up(ground: Ground, threat: Threat) -> Draft:
    """Cover seed that a fly would find, until the rows are up."""
    reason = Reason("cover_until_up", ground.computed(**_told(ground, threat)), _sums(threat.insect))
    return Draft(Kind.COVER, Span.over(ground.sowing.taken), reason, notes=_early_bed([threat]))


def _early_bed(threats: list[Threat]) -> tuple[Reason, ...]:
    if all(threat.insect != ANYWHERE for threat in threats):
        return ()
    return (practice("work_the_bed_early", BED_WORKED_EARLY, lead_weeks=BED_LEAD_WEEKS),)


def _stays_on(ground: Ground, threat: Threat) -> tuple[Reason, ...]:
    """Say that the mesh stays until lifting where the crop meets the next flight too."""
    if threat.insect != CARROT_FLY or threat.flight != FIRST:
        return ()
    second = percentile(next_event(ground, CARROT_FLY, "second"), THREAT_PCT)
    if second > percentile(np.minimum(ground.growth.ripe_last, ground.growth.stops), LATE_PCT):
        return ()
    values = ground.computed(fly=threat.insect, second_on=ground.day(second))
    return (Reason("mesh_stays_on", values, MODELS[CARROT_FLY].events["second"].source),)


def _later_after_heat(ground: Ground, threat: Threat) -> tuple[Reason, ...]:
    """Say that a second flight may be late where most members see hot soil before it."""
    if threat.insect != CARROT_FLY or threat.flight == FIRST:
        return ()
    busiest, second = (_before_sowing(ground, event).astype(np.int64) for event in ("busiest", "second"))
    share = pause_share(ground.curves.soil_c, busiest, second)
    if share < 0.5:
        return ()
    values = ground.computed(soil_c=PAUSE_SOIL_C, share_pct=round(share * 100))
    return (Reason("flight_later_after_heat", values, PAUSE_SOURCE),)


def _before_sowing(ground: Ground, event: str) -> Days:
    """Return each member's event of the season the sowing falls in."""
    begins, until = ground.sowing.season.begins, ground.sowing.season.until
    found = np.full(ground.curves.members, -1.0)
    for flights in flights_of(ground.curves.shared, CARROT_FLY):
        day = flights[event]
        found = np.where((day >= begins) & (day <= until), day, found)
    return found


def _off_before_heat(ground: Ground, lifting: list[Draft]) -> list[Draft]:
    """Ask for fleece or film that warms the rows to come off before it scorches them."""
    request, curves = ground.request, ground.curves
    if request.cover not in (Cover.FLEECE, Cover.FILM):
        return []
    week_c = curves.shared.once("week of highs", lambda: _week_of(curves.climate.tmax_c))
    hot = (week_c >= HOT_DAYS_C) & (np.arange(curves.horizon) >= ground.growth.stage_start[:, None])
    day = np.where(hot.any(axis=1), hot.argmax(axis=1), curves.horizon).astype(float)
    span = Span.over(day)
    if span.best >= (lifting[0].span.start if lifting else curves.horizon):
        return []
    values = ground.computed(cover=str(request.cover), hot_c=HOT_DAYS_C, flies=";".join(insects_of(ground)))
    return [Draft(Kind.UNCOVER, span, Reason("uncover_before_heat", values, TOO_HOT), stage=1)]


def _week_of(tmax_c: Days) -> Days:
    """Return the mean of the highs of each day and the six before it."""
    sums = np.cumsum(np.pad(tmax_c, ((0, 0), (HOT_WEEK_DAYS, 0)), mode="edge"), axis=1)
    return (sums[:, HOT_WEEK_DAYS:] - sums[:, :-HOT_WEEK_DAYS]) / HOT_WEEK_DAYS


def _off_between_flights(ground: Ground, covering: Draft, lifting: Draft) -> list[Draft]:
    """Ask for the mesh to come off after a flight that is over, where the next finds the crop lifted."""
    fly = str(covering.reason.values.get("fly", ""))
    if covering.reason.rule != "cover_before_the_fly" or "over" not in MODELS[fly].events:
        return []
    over, second = next_event(ground, fly, "over"), next_event(ground, fly, "second")
    following = percentile(second, THREAT_PCT)
    off = percentile(over, LATE_PCT)
    if lifting.span.by >= following or not covering.span.by < off <= lifting.span.start - IN_HAND_DAYS:
        return []
    values = ground.computed(fly=fly, over_on=ground.day(off), second_on=ground.day(following))
    reason = Reason("uncover_between_flights", values, _sums(fly))
    return [Draft(Kind.UNCOVER, Span(off, off + IN_HAND_DAYS, lifting.span.start), reason)]


def _off_strong_plants(ground: Ground, covering: Draft, lifting: Draft) -> list[Draft]:
    """Say when a leafy brassica bears the root fly without its mesh."""
    if covering.reason.rule != "cover_seedlings" or ground.is_true("is_root"):
        return []
    span = Span.over(ground.growth.stage_start + ESTABLISHED_DAYS)
    if span.by >= lifting.span.start:
        return []
    values = ground.computed(weeks=ESTABLISHED_DAYS // 7, grown_from=ground.crop.grown_from)
    return [Draft(Kind.UNCOVER, span, Reason("uncover_strong_plants", values, OLDER_PLANTS_BEAR))]


def _height(ground: Ground) -> list[Reason]:
    height_cm = ground.request.container_height_cm
    if not height_cm or height_cm < TALL_CONTAINER_CM or CARROT_FLY not in insects_of(ground):
        return []
    return [
        practice(
            "height_is_no_cover",
            FLY_HEIGHT,
            container_height_cm=height_cm,
            claimed_height_cm=TALL_CONTAINER_CM,
            catch_at_60_cm_pct=catch_pct(60.0),
            catch_at_90_cm_pct=catch_pct(90.0),
        )
    ]


def catch_pct(height_cm: float) -> int:
    """Return the share of the catch near the ground still caught at a height, on a straight line."""
    return round(max(0.0, 100 - LESS_CATCH_PCT_PER_CM * (height_cm - LOWEST_BOARD_CM)))
