"""Warming the ground and sowing it."""

import numpy as np

from schedules.agronomy.soil_temperature import COVER_WARMTH_C, COVER_WARMTH_SOURCE
from schedules.planner.demands import (
    AS_IT_COOLS,
    opens,
    threshold_c,
    threshold_source,
)
from schedules.planner.drafts import Draft, Ground, practice
from schedules.planner.fitness import (
    DAYS_RUNNING,
    DRYNESS,
    FROST,
    cooling_bound_c,
    frost_wait,
    warms_on,
)
from schedules.planner.rules.bounds import what_closes, what_opens
from schedules.planner.rules.raising import harden_off, planting_span
from schedules.planner.rules.warming import warm_for_the_day
from schedules.planner.seasons import turns_of
from schedules.planner.sources import (
    DRY_ENOUGH,
    FROST_WAIT,
    PRACTICE,
    SOIL_ESTIMATE,
    THREE_DAYS,
    joined,
)
from schedules.planner.sowing import WARM_LEAD_DAYS
from schedules.planner.types import Cover, Kind, Reason
from schedules.planner.windows import MIDDLE_PCT, Span, fixed, percentile

WARM_LEAST_DAYS = 14
HOT_SOIL_C = 20.0
FINE_SEEDS_PER_GRAM = 300
BED_ROWS_MM = 250


def warm_the_ground(ground: Ground) -> list[Draft]:
    """Ask for a sheet beforehand where bare soil is still too cold three weeks before the sowing."""
    request, curves, sowing = ground.request, ground.curves, ground.sowing
    is_cooling = sowing.is_autumn or opens(ground.crop) == AS_IT_COOLS
    if is_cooling or ground.text("crop_type") == "perennial" or request.cover is Cover.MESH:
        return []
    cover = Cover.CLEAR if request.cover is Cover.NONE else request.cover
    if request.sow_on and not sowing.is_done:
        return warm_for_the_day(ground, cover)
    before = np.maximum(sowing.planned - WARM_LEAD_DAYS, 0)
    bare_c = curves.median_on(curves.soil_c, before)
    if bare_c >= threshold_c(ground.crop):
        return []
    planned = sowing.span
    span = Span(planned.start - WARM_LEAD_DAYS, planned.best - WARM_LEAD_DAYS, planned.by - WARM_LEAST_DAYS)
    earliest = (min(request.not_before, request.sow_on or request.not_before) - curves.first).days
    values = ground.computed(
        cover=str(cover),
        grown_from=ground.crop.grown_from,
        is_set=request.cover is not Cover.NONE,
        warmth_c=float(COVER_WARMTH_C[cover]),
        soil_c=bare_c,
        practical_sow_soil_c=threshold_c(ground.crop),
        lead_days=WARM_LEAD_DAYS,
        earlier_days=_earlier_days(ground, cover),
    )
    source = joined(COVER_WARMTH_SOURCE[cover], SOIL_ESTIMATE, f"three weeks: {PRACTICE}")
    return [
        Draft(
            Kind.WARM,
            span.not_before(min(earliest, planned.start)).no_later_than(planned),
            Reason("warm_the_ground", values, source),
        )
    ]


def _earlier_days(ground: Ground, cover: Cover) -> int:
    """Return how many days sooner covered ground is fit than bare; 0 for a sowing on a set date."""
    request, curves = ground.request, ground.curves
    if request.sow_on or ground.sowing.is_done:
        return 0
    start = max(curves.index_of(request.not_before, "not_before"), ground.sowing.season.begins)
    bare, covered = (warms_on(curves, threshold_c(ground.crop), start, each) for each in (Cover.NONE, cover))
    return max(0, bare - covered)


def sow(ground: Ground) -> list[Draft]:
    """Ask for the sowing itself, on the day the ground is fit or on the day set."""
    request, curves, sowing = ground.request, ground.curves, ground.sowing
    by_date = request.sow_on is not None or sowing.is_done
    values = ground.computed(
        soil_c=curves.median_on(curves.seedbed_c, sowing.planned),
        practical_sow_soil_c=wanted_c(ground),
        days_running=DAYS_RUNNING,
        sow_depth_mm=ground.figure("sow_depth_mm"),
        row_spacing_mm=ground.figure("row_spacing_mm"),
        in_row_spacing_mm=ground.figure("in_row_spacing_mm"),
        last_useful_on=ground.day(sowing.closes),
        grown_from=ground.crop.grown_from,
        opens=AS_IT_COOLS if sowing.is_autumn else opens(ground.crop),
        cover=str(request.cover),
        rain_known=curves.shared.knows_rain,
    )
    source = joined(
        ground.source("autumn_soil_c") if sowing.is_autumn else threshold_source(ground.crop),
        SOIL_ESTIMATE,
        "" if by_date else THREE_DAYS,
        DRY_ENOUGH if curves.shared.knows_rain and not by_date else "",
    )
    reason = Reason("sow_on_the_day_set" if by_date else "sow_when_fit", values, source)
    bounds = [] if by_date else [*_what_decides(ground), *what_closes(ground)]
    notes = (*bounds, *_drill_advice(ground))
    return [Draft(Kind.SOW, planting_span(ground), reason, notes=notes)]


def wanted_c(ground: Ground) -> float:
    """Return the soil temperature that this sowing waits for."""
    if ground.sowing.is_autumn or opens(ground.crop) == AS_IT_COOLS:
        return cooling_bound_c(ground.request, ground.curves)
    return threshold_c(ground.crop)


def _what_decides(ground: Ground) -> list[Reason]:
    """Say what holds the sowing up where it is not the warmth of the soil."""
    decided, frost_on, wait = ground.sowing.decided_by, _frost_on(ground), frost_wait(ground.crop)
    if decided == FROST and wait is not None and frost_on is not None:
        rule = "shoots_meet_frost" if wait[1] else "frost_decides"
        values = ground.computed(frost_on=frost_on, frost_pct=wait[0], shoots_days=wait[1])
        return [Reason(rule, values, FROST_WAIT)]
    if decided == DRYNESS:
        return [Reason("dryness_decides", ground.computed(soil=ground.site.soil), DRY_ENOUGH)]
    return what_opens(ground)


def _frost_on(ground: Ground) -> str | None:
    """Return the last frost that the sowing waits for, in the spring that it falls in or follows."""
    wait, day = frost_wait(ground.crop), percentile(ground.sowing.planned, MIDDLE_PCT)
    turns = [each for each in turns_of(ground.curves.shared) if each[0] <= day]
    if wait is None or not turns:
        return None
    coldest, warmest, _ = turns[-1]
    last = ground.curves.shared.last_frost_on(coldest, warmest, wait[0])
    return ground.day(last) if last > max(coldest, 0) else None


def ground_today(ground: Ground) -> list[Reason]:
    """Say of a sowing whose season is open what today's ground lacks, and where dryness is not known."""
    sowing, curves = ground.sowing, ground.curves
    if sowing.fitness is None:
        return []
    if not curves.shared.knows_rain:
        return [practice("dryness_not_known", PRACTICE, grown_from=ground.crop.grown_from)]
    today = curves.today
    if not sowing.season_span.start <= today <= sowing.closes:
        return []
    warm, dry = (bool(each[:, today].mean() >= 0.5) for each in (sowing.fitness.warm, sowing.fitness.dry))
    if warm and dry:
        return []
    values = ground.computed(
        is_cold=not warm,
        is_wet=not dry,
        is_cooling=sowing.is_autumn,
        soil_c=curves.median_on(curves.seedbed_c, fixed(today, curves.members)),
        practical_sow_soil_c=wanted_c(ground),
        fit_on=ground.day(sowing.span.best),
        grown_from=ground.crop.grown_from,
    )
    return [Reason("ground_not_fit_today", values, joined(SOIL_ESTIMATE, THREE_DAYS, DRY_ENOUGH))]


def _drill_advice(ground: Ground) -> list[Reason]:
    if ground.crop.grown_from == "transplant":
        return [harden_off()]
    if ground.crop.grown_from != "seed":
        return []
    advice = []
    if ground.is_true("is_root"):
        carrots = ground.text("flight") == "carrot-fly"
        advice.append(practice("rows_in_a_bed", PRACTICE, bed_rows_mm=BED_ROWS_MM, small_carrots=carrots))
    seeds_per_gram = ground.figure("seeds_per_gram")
    if seeds_per_gram and seeds_per_gram >= FINE_SEEDS_PER_GRAM:
        source = joined(ground.source("seeds_per_gram"), PRACTICE)
        advice.append(practice("fine_seed_in_sand", source, seeds_per_gram=seeds_per_gram))
    soil_c = ground.curves.median_on(ground.curves.seedbed_c, ground.sowing.taken)
    if soil_c >= HOT_SOIL_C:
        advice.append(practice("water_the_drill", PRACTICE, soil_c=soil_c, hot_soil_c=HOT_SOIL_C))
    advice.append(practice("slugs_take_seedlings", PRACTICE))
    height_cm = ground.request.container_height_cm
    if height_cm:
        advice.append(practice("container_mix", PRACTICE, container_height_cm=height_cm))
    return advice
