"""Feeling the necks, lifting, storing, and sowing the next short row."""

import numpy as np

from schedules.agronomy.thermal_time import maturity_degree_days
from schedules.planner.drafts import Draft, Ground, Spacing, practice
from schedules.planner.sources import (
    COLD_SWEETENS,
    LEFT_IN_GROUND,
    PRACTICE,
    SHORT_DAYS,
    STORE_POTATOES,
    STORE_ROOTS,
    joined,
)
from schedules.planner.types import Kind, Reason
from schedules.planner.windows import MIDDLE_PCT, Days, Span, percentile

REFERENCE_C = 15.0
NECKS_LEAD_DAYS = 14
BIG_ROOT_SPACING_MM = 60
HARD_WINTER_C = 0.0
COLDEST_SPELL_DAYS = 30
WINTER_DAYS = 180
DRYING_DAYS = 14
# The shoulder of these roots lies under the soil, so that girth has to be felt; beet and turnip show theirs.
FELT_FAMILIES = frozenset({"Apiaceae"})


def lift(ground: Ground) -> list[Draft]:
    """Ask for lifting from the first usable roots to the last, or where growth stops if that comes sooner."""
    growth = ground.growth
    ceiling = np.maximum(growth.stops, ground.sowing.taken)
    span = Span.over(
        np.minimum(growth.ripe_first, ceiling),
        np.minimum(growth.ripe_middle, ceiling),
        np.minimum(growth.ripe_last, ceiling),
    )
    base_c = ground.crop.number("base_c")
    values = ground.computed(
        days_min=ground.request.days_min,
        days_max=ground.request.days_max,
        reference_c=REFERENCE_C,
        base_c=base_c,
        sum_min_cd=round(maturity_degree_days(ground.request.days_min, base_c)),
        sum_max_cd=round(maturity_degree_days(ground.request.days_max, base_c)),
        growth_stops_on=ground.day(min(percentile(ceiling, MIDDLE_PCT), ground.curves.horizon - 1)),
    )
    source = joined(ground.source("days_to_maturity_min"), ground.source("base_c"), SHORT_DAYS)
    rule = "lift_when_growth_stops" if growth.is_cut_short else "lift_when_grown"
    return [
        Draft(Kind.LIFT, span, Reason(rule, values, source), notes=tuple(_lifting_advice(ground, ceiling)))
    ]


def _lifting_advice(ground: Ground, ceiling: Days) -> list[Reason]:
    advice = []
    if (ground.figure("in_row_spacing_mm") or 0) >= BIG_ROOT_SPACING_MM:
        advice.append(practice("fork_under_big_roots", PRACTICE))
    stands = ground.text("stands_over_winter")
    if percentile(ceiling, MIDDLE_PCT) >= ground.curves.horizon:
        return advice  # where growth never stops there is no winter to speak of
    if stands not in {"", "no"}:
        coldest_c = _coldest_spell_c(ground, ceiling)
        rule = "lift_before_hard_winter" if coldest_c < HARD_WINTER_C else "leave_in_mild_winter"
        advice.append(Reason(rule, ground.computed(coldest_month_c=coldest_c), LEFT_IN_GROUND))
    if stands == "yes":
        advice.append(practice("light_frost_sweetens", COLD_SWEETENS))
    return advice


def _coldest_spell_c(ground: Ground, ceiling: Days) -> float:
    """Return the median over members of the coldest thirty days in the half year after growth stops."""
    curves = ground.curves
    begin = min(percentile(ceiling, MIDDLE_PCT), curves.horizon - COLDEST_SPELL_DAYS)
    air_c = curves.air_c[:, max(0, begin) : begin + WINTER_DAYS]
    spells = np.lib.stride_tricks.sliding_window_view(air_c, COLDEST_SPELL_DAYS, axis=1).mean(axis=2)
    return round(float(np.median(spells.min(axis=1))), 1)


def necks(ground: Ground, lifting: Span) -> list[Draft]:
    """Ask for a feel of the necks in the fortnight before lifting begins."""
    if ground.is_true("check_necks"):
        rule = "look_for_soft_necks"
    elif ground.crop.family in FELT_FAMILIES:
        rule = "feel_necks"
    else:
        return []
    start = lifting.start - NECKS_LEAD_DAYS
    span = Span(start, lifting.start - NECKS_LEAD_DAYS // 2, lifting.start)
    return [Draft(Kind.NECKS, span, practice(rule, PRACTICE, lead_days=NECKS_LEAD_DAYS))]


def store(ground: Ground) -> list[Draft]:
    """Ask for storing after lifting, for the sorts that are grown to keep."""
    if not ground.is_true("storable") or ground.text("crop_type") == "early":
        return []
    rule, days, source = _store_way(ground)
    values = {
        name: ground.figure(name)
        for name in ("storage_c", "storage_rh_min_pct", "storage_rh_max_pct", "storage_min_weeks")
    }
    reason = Reason(rule, values | {"drying_days": days}, joined(ground.source("storage_c"), source))
    return [Draft(Kind.STORE, Span.on(0), reason, spacing=Spacing(Kind.LIFT, days))]


def _store_way(ground: Ground) -> tuple[str, int, str]:
    if ground.crop.grown_from == "tuber":
        return "store_in_the_dark", 1, STORE_POTATOES
    if ground.is_true("check_necks"):
        return "dry_then_store", DRYING_DAYS, PRACTICE
    return "store_in_sand", 0, STORE_ROOTS


def resow(ground: Ground) -> list[Draft]:
    """Ask for the next short row while a sowing is still of use."""
    least, most = ground.figure("resow_min_days"), ground.figure("resow_max_days")
    sown = Span.over(ground.sowing.taken)
    closes = ground.sowing.closes
    if least is None or most is None or sown.start + least > closes:
        return []
    span = Span(sown.start + round(least), sown.best + round((least + most) / 2), sown.by + round(most))
    values = ground.computed(resow_min_days=least, resow_max_days=most, last_useful_on=ground.day(closes))
    reason = Reason("sow_the_next_row", values, joined(ground.source("resow_min_days"), SHORT_DAYS))
    return [Draft(Kind.RESOW, span.no_later(closes), reason)]
