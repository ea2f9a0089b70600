"""When ground is fit to sow: warm, dry, not too hot and past frost, and not about to cool off again."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from plots.crops import Crop
from schedules.agronomy.soil_temperature import COVER_WARMTH_C
from schedules.planner.curves import SHEDS_RAIN, Curves
from schedules.planner.demands import (
    AS_IT_COOLS,
    autumn_soil_c,
    hottest_air_c,
    hottest_soil_c,
    opens,
    threshold_c,
    waits_for_frost,
)
from schedules.planner.heat import ripening_asked, ripens_cool, starts_cool
from schedules.planner.seasons import turns_of
from schedules.planner.site_curves import BoolArray, FloatArray
from schedules.planner.types import Cover, SowingRequest
from schedules.planner.windows import MIDDLE_PCT, Days, percentile

DAYS_RUNNING = 3
HOLDS_DAYS = 14
FROST_PCT = 90
# What waits for cool soil is planted near the coolest of the year where winter is mild, and in the cooler
# half of it where summer is cool: common practice, no published source.
NEAR_COOLEST_C = 3.0
YEAR_AND_YEAR = 730
# From planting to shoots above ground, in the soil of early spring: common practice, no published source.
TUBER_SHOOT_DAYS = 35
WARMTH, DRYNESS, FROST, HEAT = "warmth", "dryness", "frost", "heat"
RIPENING, COLD, SLOW, PLANTS = "heat at ripening", "cold", "slow growth", "young plants"


@dataclass(frozen=True, eq=False)
class Fitness:
    """What each day allows, members by days; ``safe`` from frost is one answer for all members.

    ``cool`` speaks of the month after the sowing, ``gentle`` of the time when the crop flowers or hearts.
    On bare ground one object serves all sowings that ask the same of it, so that what is counted over all
    days is counted once.
    """

    warm: BoolArray
    dry: BoolArray
    cool: BoolArray
    gentle: BoolArray
    safe: BoolArray

    @cached_property
    def is_hot(self) -> BoolArray:
        """Days too hot for the seed or the young crop in most members."""
        return (~self.cool).mean(axis=0) > 0.5

    @cached_property
    def is_harsh(self) -> BoolArray:
        """Days from which the crop flowers or hearts in too much heat in most members."""
        return (~self.gentle).mean(axis=0) > 0.5

    @cached_property
    def mild(self) -> BoolArray:
        """Days that heat does not forbid, for the young crop or the ripening one."""
        return self.cool & self.gentle

    def first(self, start: int, *leaving_out: str) -> Days:
        """Return each member's first fit day from ``start`` on; the number of days when there is none.

        ``leaving_out`` names conditions that are not asked for: dryness, frost or heat.
        """
        days = self.warm.shape[1]
        begin = min(max(start, 0), days)
        fit = self.warm[:, begin:]
        for name, allowed in ((DRYNESS, self.dry), (HEAT, self.mild), (FROST, self.safe[None, :])):
            if name not in leaving_out:
                fit = fit & allowed[:, begin:]
        return begin + first_true(fit, 0)

    def decides(self, start: int) -> str:
        """Return which condition holds a sowing up longest: the one without which it would open soonest."""
        opens_on = percentile(self.first(start), MIDDLE_PCT)
        gains = {
            name: opens_on - percentile(self.first(start, name), MIDDLE_PCT) for name in (FROST, DRYNESS)
        }
        name = max(gains, key=lambda each: gains[each])
        return name if gains[name] >= DAYS_RUNNING else WARMTH


def fitness_of(request: SowingRequest, curves: Curves, *, is_autumn: bool = False) -> Fitness:
    """Work out a sowing's fit days; in autumn, or as the soil cools, warmth is the bound from above."""
    crop = request.crop
    is_cooling = is_autumn or opens(crop) == AS_IT_COOLS
    bound_c = cooling_bound_c(request, curves) if is_cooling else threshold_c(crop)

    def work_out() -> Fitness:
        everywhere = np.ones((1, curves.horizon), dtype=bool)
        return Fitness(
            warm=_cool_enough(curves, bound_c) if is_cooling else warm_enough(curves, bound_c),
            dry=_dry_enough(curves) if curves.shared.knows_rain else everywhere,
            cool=everywhere if is_cooling else starts_cool(request, curves),
            gentle=everywhere if is_cooling else ripens_cool(request, curves),
            safe=_past_frost(crop, curves),
        )

    if curves.cover is not Cover.NONE:
        return work_out()  # it hangs on the day on which the cover is laid, and those are many
    heat = () if is_cooling else (hottest_air_c(crop), hottest_soil_c(crop), ripening_asked(request, curves))
    return curves.shared.once(("fitness", is_cooling, bound_c, frost_wait(crop), *heat), work_out)


def cooling_bound_c(request: SowingRequest, curves: Curves) -> float:
    """Return the soil temperature to cool to; where winter is never that cold, one near its coolest.

    Where summer is hardly warmer than that, the soil has cooled only when it is halfway to its coolest, or to
    freezing.
    """
    crop = request.crop
    wanted = threshold_c(crop) if opens(crop) == AS_IT_COOLS else autumn_soil_c(crop)
    coolest, warmest = curves.shared.once("range of soil", lambda: _range(curves.soil_c))
    halfway = round((max(coolest, 0.0) + warmest) / 2, 1)
    return max(min(wanted, halfway), coolest + NEAR_COOLEST_C)


def _range(soil_c: FloatArray) -> tuple[float, float]:
    """Return the soil of the coldest and warmest day of the usual year, of the last two of the window."""
    usual_c = np.median(soil_c[:, -YEAR_AND_YEAR:], axis=0)
    return round(float(usual_c.min()), 1), round(float(usual_c.max()), 1)


def frost_wait(crop: Crop) -> tuple[float, int] | None:
    """Return which percentile of the last frosts a crop waits for, and how many days ahead it may go in.

    A tender plant waits for nine springs in ten. Tubers of a tender crop lie deep for weeks: their shoots may
    meet the last frost of the middle spring, and are earthed up or covered against a later one.
    """
    if waits_for_frost(crop):
        return FROST_PCT, 0
    is_tender = crop.has("frost_class") and crop.fact("frost_class").value == "tender"
    return (MIDDLE_PCT, TUBER_SHOOT_DAYS) if is_tender and crop.grown_from == "tuber" else None


def frost_free_from(crop: Crop, curves: Curves, coldest: int, warmest: int) -> int | None:
    """Return the first day of a spring on which frost no longer stands against a crop."""
    wait = frost_wait(crop)
    if wait is None:
        return None
    pct, lead_days = wait
    return curves.shared.last_frost_on(coldest, warmest, pct) + 1 - lead_days


def warm_enough(curves: Curves, threshold_c: float) -> BoolArray:
    """Return the days on which a seed-bed is warm enough: as ``first_fit`` has it."""
    warmth_c = float(COVER_WARMTH_C[curves.cover])
    key = ("warm enough", threshold_c, warmth_c, curves.laid if warmth_c else 0)
    return curves.shared.once(key, lambda: _holds(curves.seedbed_c, threshold_c))


def warms_on(curves: Curves, threshold_c: float, start: int, cover: Cover) -> int:
    """Return the day from ``start`` on by which ground under a cover is warm enough in half of members."""
    warmth_c = float(COVER_WARMTH_C[cover])
    return curves.shared.once(
        ("warms on", threshold_c, warmth_c, curves.laid if warmth_c else 0, start),
        lambda: percentile(first_fit(curves.soil_under(cover), threshold_c, start), MIDDLE_PCT),
    )


def _cool_enough(curves: Curves, bound_c: float) -> BoolArray:
    key = ("cool enough", str(curves.cover), curves.laid if curves.cover is not Cover.NONE else 0, bound_c)
    return curves.shared.once(key, lambda: _holds(-curves.seedbed_c, -bound_c))


def _dry_enough(curves: Curves) -> BoolArray:
    sheds = curves.cover in SHEDS_RAIN
    key = ("dry enough", sheds, curves.laid if sheds else 0)
    return curves.shared.once(key, lambda: running(curves.workable_under(curves.cover)))


def first_fit(soil_c: FloatArray, threshold_c: float, start: int) -> Days:
    """Return each member's first day warm enough from ``start`` on; the number of days when there is none.

    Warm enough: at or above the threshold on each of the last three days, and not falling. Falling warmth is
    no bar where it holds above the threshold for the fortnight that seed needs, or no one could sow in late
    summer.
    """
    return first_true(_holds(soil_c, threshold_c), start)


def running(allowed: BoolArray) -> BoolArray:
    """Return the days on which something has been true on each of the last three, that day included."""
    held = allowed.copy()
    held[:, : DAYS_RUNNING - 1] = False
    for back in range(1, DAYS_RUNNING):
        held[:, DAYS_RUNNING - 1 :] &= allowed[:, DAYS_RUNNING - 1 - back : -back]
    return held


def _holds(soil_c: FloatArray, threshold_c: float) -> BoolArray:
    """Return the days at or above the threshold three days running, not falling or holding a fortnight."""
    days = soil_c.shape[1]
    above = soil_c >= threshold_c
    below = np.zeros((soil_c.shape[0], days + 1), dtype=np.int32)
    np.cumsum(~above, axis=1, out=below[:, 1:])
    at = np.arange(days)
    holds = below[:, np.minimum(at + HOLDS_DAYS, days)] == below[:, :-1]
    rising = np.zeros_like(above)
    lag = DAYS_RUNNING - 1
    rising[:, lag:] = soil_c[:, lag:] >= soil_c[:, : days - lag]
    return running(above) & (rising | holds)


def _past_frost(crop: Crop, curves: Curves) -> BoolArray:
    safe = np.ones(curves.horizon, dtype=bool)
    for coldest, warmest, _ in turns_of(curves.shared):
        opens_on = frost_free_from(crop, curves, coldest, warmest)
        if opens_on is not None and warmest > 0:
            safe[max(coldest, 0) : max(opens_on, 0)] = False
    return safe


def first_true(fit: BoolArray, start: int) -> Days:
    days = fit.shape[1]
    begin = min(max(start, 0), days)
    part = fit[:, begin:]
    if part.shape[1] == 0:
        return np.full(fit.shape[0], float(days))
    return np.where(part.any(axis=1), begin + part.argmax(axis=1), days).astype(float)
