"""Feeling the necks, lifting, and sowing the next short row."""

import numpy as np

from schedules.agronomy.frost import FROST_C
from schedules.agronomy.frost_odds import cold_night_of
from schedules.agronomy.thermal_time import NEVER
from schedules.planner.demands import (
    base_c,
    base_source,
    counts_by_calendar,
    growth_degree_days,
    maturity_source,
    optimum_c,
    optimum_source,
    raised_days,
    reference_c,
)
from schedules.planner.drafts import Draft, Ground, practice
from schedules.planner.seasons import smoothed_air_c
from schedules.planner.site_curves import FloatArray
from schedules.planner.sources import (
    COLD_SWEETENS,
    LEFT_IN_GROUND,
    PRACTICE,
    PRINTED_DAYS,
    SHORT_DAYS,
    STORE_COOL,
    joined,
)
from schedules.planner.types import Kind, Reason
from schedules.planner.windows import MIDDLE_PCT, Days, Span, fixed, median, percentile

NECKS_LEAD_DAYS = 14
BIG_ROOT_SPACING_MM = 60
HARD_WINTER_C = 0.0
COLDEST_SPELL_DAYS = 30
WINTER_DAYS = 180
MOIST_WAYS = frozenset({"sand", "cool"})
# A shed or clamp keeps roots once days and nights come to about 12 °C: common practice, no published source.
COOL_AIR_C = 12.0
STANDING_DAYS = 60
FROST_LOOK_BACK_DAYS, FROST_LOOK_ON_DAYS = 90, 60


def lift(ground: Ground) -> list[Draft]:
    """Ask for lifting from the first usable crop to the last, or where growth stops if that comes sooner.

    A crop of which nobody says how long it takes has no such job.
    """
    if not ground.request.has_days:
        return []
    growth = ground.growth
    ceiling = np.maximum(growth.stops, ground.sowing.taken)
    ripe = tuple(
        np.minimum(each, ceiling) for each in (growth.ripe_first, growth.ripe_middle, growth.ripe_last)
    )
    frost = sweetening_frost(ground, ceiling)
    usable = Span.over(*ripe)
    span = Span.over(*(np.maximum(each, frost) for each in ripe)) if frost.any() else usable
    keeps_on = storing_day(ground, span)
    if keeps_on is not None:
        span = span._replace(by=max(span.by, keeps_on))
    crop, request = ground.crop, ground.request
    values = ground.computed(
        gather=ground.text("gather"),
        part=ground.text("harvested_part"),
        days_min=request.days_min,
        days_max=request.days_max,
        raised_days=raised_days(crop),
        counted_from=ground.text("maturity_from"),
        reference_c=reference_c(crop),
        base_c=base_c(crop),
        optimum_c=optimum_c(crop),
        growth_factor=round(request.growth_factor, 2),
        growth_liftings=request.growth_liftings,
        sum_min_cd=round(growth_degree_days(request, max(1.0, request.days_min - raised_days(crop)))),
        sum_max_cd=round(growth_degree_days(request, max(1.0, request.days_max - raised_days(crop)))),
        growth_stops_on=ground.day(min(percentile(ceiling, MIDDLE_PCT), ground.curves.horizon - 1)),
    )
    rule, source = "lift_by_the_calendar", maturity_source(crop)
    if not counts_by_calendar(crop):
        rule = "lift_when_growth_stops" if growth.is_cut_short else "lift_when_grown"
        source = joined(source, base_source(crop), optimum_source(crop), PRINTED_DAYS, SHORT_DAYS)
    advice = [*_sweetened(ground, usable, span), *_lifting_advice(ground, ceiling)]
    if keeps_on is not None and keeps_on > span.start:
        late = ground.computed(store_on=ground.day(keeps_on), part=ground.text("harvested_part"))
        advice.append(Reason("lift_last_what_is_stored", late, joined(STORE_COOL, PRACTICE)))
    return [Draft(Kind.LIFT, span, Reason(rule, values, source), notes=tuple(advice))]


def storing_day(ground: Ground, lifting: Span) -> int | None:
    """Return the autumn day from which a crop that keeps cool and moist may be put away.

    None for what is stored dry or dark as it is lifted, for what was lifted already, and for what would have
    to stand for more than two months until then: that is eaten.
    """
    season, curves = ground.sowing.season, ground.curves
    lifted = ground.record.get(f"{ground.request.key}/{Kind.LIFT}")
    is_moist = ground.text("store_way") in MOIST_WAYS and ground.is_true("storable")
    if not is_moist or ground.text("crop_type") == "early" or season.midsummer == 0 or lifted is not None:
        return None
    day = curves.shared.once(
        ("air is cool", season.midsummer, season.until),
        lambda: _cool_from(smoothed_air_c(curves.shared), season.midsummer, season.until),
    )
    return day if day is not None and lifting.by >= day - STANDING_DAYS else None


def _cool_from(air_c: FloatArray, begin: int, stop: int) -> int | None:
    """Return the first day after the warmest of these on which the usual air is cool."""
    usual_c = np.median(air_c[:, begin:stop], axis=0)
    cool = np.flatnonzero(usual_c < COOL_AIR_C)
    cool = cool[cool > usual_c.argmax()]
    return begin + int(cool[0]) if cool.size else None


def sweetening_frost(ground: Ground, ceiling: Days) -> Days:
    """Return each member's first autumn frost for a crop that is better for it, 0 for all others.

    Only what is dug waits: leaves and sprouts are picked on from when they are ready. A year without frost is
    lifted from when growth stops.
    """
    members, shared, season = ground.curves.members, ground.curves.shared, ground.sowing.season
    ceiling = np.minimum(ceiling, np.maximum(season.ends, ground.sowing.taken))
    stops = percentile(ceiling, MIDDLE_PCT)
    is_dug = ground.is_true("sweetened_by_frost") and ground.text("gather") == "lift"
    if not is_dug or stops >= ground.curves.horizon or ground.sowing.is_autumn:
        return fixed(0, members)
    begin, stop = stops - FROST_LOOK_BACK_DAYS, min(stops + FROST_LOOK_ON_DAYS, ground.curves.horizon)
    first = shared.once(
        ("sweetening frost", begin, stop), lambda: cold_night_of(shared.climate, FROST_C, begin, stop)
    )
    return np.where(first == NEVER, ceiling, first).astype(float)


def _sweetened(ground: Ground, ripe: Span, span: Span) -> list[Reason]:
    """Say that the crop is left for the frost, and since when it could be used."""
    if span.start <= ripe.start:
        return []
    values = ground.computed(
        usable_on=ground.day(ripe.start), frost_on=ground.day(span.start), part=ground.text("harvested_part")
    )
    return [Reason("leave_for_the_frost", values, joined(COLD_SWEETENS, ground.source("sweetened_by_frost")))]


def _lifting_advice(ground: Ground, ceiling: Days) -> list[Reason]:
    advice = []
    is_dug = ground.is_true("is_root") and ground.text("gather") == "lift"
    if is_dug and (ground.figure("in_row_spacing_mm") or 0) >= BIG_ROOT_SPACING_MM:
        advice.append(practice("fork_under_big_roots", PRACTICE, part=ground.text("harvested_part")))
    stands = ground.text("stands_over_winter")
    if percentile(ceiling, MIDDLE_PCT) >= ground.curves.horizon:
        return advice  # where growth never stops there is no winter to speak of
    if stands in {"yes", "with cover"} and not is_left_to_frost_outlook(ground):
        coldest_c = coldest_spell_c(ground, ceiling)
        rule = "lift_before_hard_winter" if coldest_c < HARD_WINTER_C else "leave_in_mild_winter"
        values = ground.computed(
            coldest_month_c=coldest_c, gather=ground.text("gather"), part=ground.text("harvested_part")
        )
        advice.append(Reason(rule, values, LEFT_IN_GROUND))
    return advice


def is_left_to_frost_outlook(ground: Ground) -> bool:
    """True of roots and tubers: what winter means for them is said once, in the outlook."""
    return ground.text("gather") == "lift" and ground.text("harvested_part") != "bulbs"


def coldest_spell_c(ground: Ground, since: Days, days: int = WINTER_DAYS) -> float:
    """Return the median over members of the coldest thirty days in the half year, or so, after a day."""
    curves = ground.curves
    begin = min(percentile(since, MIDDLE_PCT), curves.horizon - COLDEST_SPELL_DAYS)
    air_c = curves.air_c[:, max(0, begin) : begin + days]
    spells = np.lib.stride_tricks.sliding_window_view(air_c, COLDEST_SPELL_DAYS, axis=1).mean(axis=2)
    return round(median(spells.min(axis=1)), 1)


def necks(ground: Ground, lifting: list[Draft]) -> list[Draft]:
    """Ask for a feel of the necks in the fortnight before lifting begins."""
    rules = {"check_necks": "look_for_soft_necks", "feel_necks": "feel_necks"}
    rule = next((rule for fact, rule in rules.items() if ground.is_true(fact)), None)
    if rule is None or not lifting:
        return []
    opens = lifting[0].span.start
    span = Span(opens - NECKS_LEAD_DAYS, opens - NECKS_LEAD_DAYS // 2, opens)
    return [Draft(Kind.NECKS, span, practice(rule, PRACTICE, lead_days=NECKS_LEAD_DAYS))]


def resow(ground: Ground) -> list[Draft]:
    """Ask for the next short row while a sowing is still of use."""
    least, most = ground.figure("resow_min_days"), ground.figure("resow_max_days")
    sown = Span.over(ground.sowing.taken)
    closes = ground.sowing.closes
    if least is None or most is None or closes < max(sown.start + least, ground.curves.today):
        return []  # it would come to nothing, or the last useful day is past
    span = Span(sown.start + round(least), sown.best + round((least + most) / 2), sown.by + round(most))
    values = ground.computed(resow_min_days=least, resow_max_days=most, last_useful_on=ground.day(closes))
    reason = Reason("sow_the_next_row", values, joined(ground.source("resow_min_days"), SHORT_DAYS))
    return [Draft(Kind.RESOW, span.no_later(closes), reason)]
