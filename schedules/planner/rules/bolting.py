"""Cold, day length and drought that make a crop run to seed."""

import numpy as np

from schedules.agronomy.bolting import FloatArray, between, running_sums, vernal_rate_cd
from schedules.planner.demands import ordinary_degree_days
from schedules.planner.drafts import Ground
from schedules.planner.sources import PRACTICE, joined
from schedules.planner.types import Reason, Values
from schedules.planner.windows import MIDDLE_PCT, Days, percentile

# Fewer members than one in five are not worth a warning.
LEAST_SHARE = 0.2
LONG_DAYS_RUN = 21
# A crop of which nobody says how long it takes is looked at for two months.
GENERAL_DAYS = 60


def bolting_warnings(ground: Ground) -> list[Reason]:
    """Warn of a sowing that may run to seed, by each way that its crop is known for."""
    codes = ground.text("bolting").split(";")
    found = (WAYS[code](ground) for code in codes if code)
    return [reason for reason in found if reason is not None]


def _vernalised(ground: Ground) -> Reason | None:
    """Count cold from the end of the juvenile leaves on, while it can still show before lifting.

    Roots that the standstill overtakes stay on through the winter, and meet its cold.
    """
    figure = ground.crop.number
    leaves_cd = figure("juvenile_leaves") * figure("leaf_sum_cd")
    start = ground.curves.heat_reached(ground.growth.stage_start, leaves_cd)
    stop = _ready(ground, ground.growth.ripe_middle) - figure("bolt_lag_days")
    limits_c = tuple(figure(name) for name in ("vernal_base_c", "vernal_best_c", "vernal_ceiling_c"))
    sums = ground.curves.shared.once(
        ("vernal", *limits_c), lambda: running_sums(vernal_rate_cd(ground.curves.air_c, *limits_c))
    )
    cold_cd = between(sums, start, stop)
    share = float((cold_cd >= figure("vernal_first_cd")).mean())
    if share < LEAST_SHARE:
        return None
    values = ground.computed(
        share_pct=round(100 * share),
        cold_cd=round(float(np.median(cold_cd))),
        first_cd=figure("vernal_first_cd"),
        most_cd=figure("vernal_most_cd"),
        leaves=figure("juvenile_leaves"),
        ceiling_c=figure("vernal_ceiling_c"),
        part=ground.text("harvested_part"),
    )
    source = joined(ground.source("vernal_first_cd"), ground.source("leaf_sum_cd"))
    return Reason("bolts_after_cold", values, source)


def _chilled_in_the_ground(ground: Ground) -> Reason | None:
    """Count cold days from the sowing or planting on: beet takes up cold as wet seed already."""
    since = "sowing" if ground.crop.grown_from == "seed" else "planting"
    return _cold(ground, ground.sowing.taken, since)


def _chilled_seedlings(ground: Ground) -> Reason | None:
    return _cold(ground, ground.growth.stage_start, "the seedlings show")


def _cold(ground: Ground, start: Days, since: str) -> Reason | None:
    """Count cold days in the first weeks after an event."""
    figure, curves = ground.crop.number, ground.curves
    of, limit_c = ground.text("bolt_cold_of"), figure("bolt_cold_c")
    sums = curves.shared.once(
        ("days under", of, limit_c),
        lambda: running_sums((curves.climate.tmax_c if of == "maximum" else curves.air_c) < limit_c),
    )
    grown = _big_enough(ground, start)
    days = between(sums, grown, start + figure("bolt_cold_within_days"))
    share = float((days >= figure("bolt_cold_days")).mean())
    if share < LEAST_SHARE:
        return None
    values = ground.computed(
        share_pct=round(100 * share),
        cold_days=round(float(np.median(days))),
        bolt_cold_c=figure("bolt_cold_c"),
        bolt_cold_of=ground.text("bolt_cold_of"),
        bolt_cold_days=figure("bolt_cold_days"),
        within_days=figure("bolt_cold_within_days"),
        grown_from=ground.crop.grown_from,
        since=since,
        after_days=ground.figure("bolt_cold_after_days"),
    )
    source = joined(ground.source("bolt_cold_c"), ground.source("bolt_cold_days"))
    return Reason("bolts_when_chilled", values, source)


def _big_enough(ground: Ground, start: Days) -> Days:
    """Return from when on cold tells: of some crops only a plant of some size takes it up."""
    days = ground.figure("bolt_cold_after_days")
    if days is None:
        return start
    return ground.curves.heat_reached(start, ordinary_degree_days(ground.crop, days))


def _hot(ground: Ground) -> Reason | None:
    """Count hot days, and of those only the ones on dry ground where the site's rain is known."""
    figure, shared = ground.crop.number, ground.curves.shared
    stop = np.minimum(_ready(ground, ground.growth.ripe_last), ground.growth.stops)
    limit_c = figure("bolt_heat_c")

    def add_up() -> FloatArray:
        is_hot = shared.climate.tmax_c >= limit_c
        return running_sums(is_hot & shared.parched if shared.knows_rain else is_hot)

    days = between(shared.once(("hot days", limit_c), add_up), ground.growth.stage_start, stop)
    share = float((days >= figure("bolt_heat_days")).mean())
    if share < LEAST_SHARE:
        return None
    values = ground.computed(
        share_pct=round(100 * share),
        hot_days=round(float(np.median(days))),
        bolt_heat_c=figure("bolt_heat_c"),
        bolt_heat_days=figure("bolt_heat_days"),
        is_dry=shared.knows_rain,
    )
    return Reason("bolts_in_heat", values, joined(ground.source("bolt_heat_c"), PRACTICE))


def _long_days(ground: Ground) -> Reason | None:
    hours = ground.crop.number("bolt_day_hours")
    stop = np.minimum(_ready(ground, ground.growth.ripe_first), ground.growth.stops)
    shared = ground.curves.shared
    sums = shared.once(("long days", hours), lambda: running_sums(shared.daylight_hours >= hours))
    days = between(sums, ground.growth.stage_start, stop)
    if percentile(days, MIDDLE_PCT) < LONG_DAYS_RUN:
        return None
    values: Values = {
        "bolt_day_hours": hours,
        "long_days": percentile(days, MIDDLE_PCT),
        "part": ground.text("harvested_part"),
    }
    return Reason("bolts_in_long_days", values, joined(ground.source("bolt_day_hours"), PRACTICE))


def _ready(ground: Ground, ripe: Days) -> FloatArray:
    return ripe if ground.request.has_days else ground.growth.stage_start + GENERAL_DAYS


WAYS = {
    "vernalised": _vernalised,
    "cold-after-planting": _chilled_in_the_ground,
    "cold-seedling": _chilled_seedlings,
    "heat-and-drought": _hot,
    "long-days": _long_days,
}
