"""Warming the ground and sowing it."""

import numpy as np

from schedules.agronomy.soil_temperature import COVER_WARMTH_C, COVER_WARMTH_SOURCE
from schedules.planner.demands import AS_IT_COOLS, opens, threshold_c, threshold_source
from schedules.planner.drafts import Draft, Ground, practice
from schedules.planner.fitness import DAYS_RUNNING, first_fit
from schedules.planner.rules.raising import harden_off
from schedules.planner.sources import PRACTICE, SOIL_ESTIMATE, THREE_DAYS, joined
from schedules.planner.sowing import WARM_LEAD_DAYS
from schedules.planner.types import Cover, Kind, Reason
from schedules.planner.windows import MIDDLE_PCT, Span, percentile

WARM_LEAST_DAYS = 14
HOT_SOIL_C = 20.0
FINE_SEEDS_PER_GRAM = 300
BED_ROWS_MM = 250


def warm_the_ground(ground: Ground) -> list[Draft]:
    """Ask for a sheet beforehand where bare soil is still too cold three weeks before the sowing."""
    request, curves, sowing = ground.request, ground.curves, ground.sowing
    before = np.maximum(sowing.planned - WARM_LEAD_DAYS, 0)
    bare_c = curves.median_on(curves.soil_c, before)
    needless = opens(ground.crop) == AS_IT_COOLS or ground.text("crop_type") == "perennial"
    if needless or request.cover is Cover.MESH or bare_c >= threshold_c(ground.crop):
        return []
    cover = Cover.CLEAR if request.cover is Cover.NONE else request.cover
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
    openings = [
        percentile(first_fit(curves.soil_under(each), threshold_c(ground.crop), start), MIDDLE_PCT)
        for each in (Cover.NONE, cover)
    ]
    return max(0, openings[0] - openings[1])


def sow(ground: Ground) -> list[Draft]:
    """Ask for the sowing itself, on the day the ground is fit or on the day set."""
    request, curves, sowing = ground.request, ground.curves, ground.sowing
    values = ground.computed(
        soil_c=curves.median_on(curves.seedbed_c, sowing.planned),
        practical_sow_soil_c=threshold_c(ground.crop),
        days_running=DAYS_RUNNING,
        sow_depth_mm=ground.figure("sow_depth_mm"),
        row_spacing_mm=ground.figure("row_spacing_mm"),
        in_row_spacing_mm=ground.figure("in_row_spacing_mm"),
        last_useful_on=ground.day(sowing.closes),
        grown_from=ground.crop.grown_from,
        opens=opens(ground.crop),
        cover=str(request.cover),
    )
    by_date = request.sow_on is not None or sowing.is_done
    source = joined(threshold_source(ground.crop), SOIL_ESTIMATE, "" if by_date else THREE_DAYS)
    reason = Reason("sow_on_the_day_set" if by_date else "sow_when_fit", values, source)
    return [Draft(Kind.SOW, sowing.span, reason, notes=tuple(_drill_advice(ground)))]


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
