"""What frost will do to a sowing: when a tender crop is safe, and what winter means for what stands."""

import numpy as np

from schedules.agronomy.frost_odds import cold_night_of, last_frost_of
from schedules.agronomy.thermal_time import NEVER
from schedules.planner.drafts import Ground
from schedules.planner.fitness import TUBER_SHOOT_DAYS
from schedules.planner.sources import COLD_SWEETENS, PRACTICE, joined
from schedules.planner.types import Reason
from schedules.planner.windows import EARLY_PCT, LATE_PCT, MIDDLE_PCT, THREAT_PCT, Days, percentile

EARLY_FROST_PCT, LATE_FROST_PCT = 10, 90
COLD_NIGHT_C, COLD_NIGHTS = -3.5, 2
FROZEN_SOIL_C = 1.0
WINTER_DAYS = 180
STANDS_SINCE_DAYS = 90
STRAW_CM = 15
# One winter in five is often enough to plan for.
COLD_WINTER_SHARE = 0.2

FREEZE_ODDS = (
    "frost dates by their share of years, after the freeze and frost probabilities of the National Climatic "
    "Data Center, 1971-2000 (description second-hand): 0 °C or less in the air"
)
WINTER_TRIGGERS = (
    "two nights at -3.5 °C or soil at 1 °C: this project's reading; roots of beet freeze near -3 °C "
    "(Huijbregts 2013 and Milford 2002, as cited)"
)
LIFT_BEFORE_FREEZING = "Michigan State University Extension (quoted): lift before the ground freezes"
LEFT_ALL_WINTER = (
    "USDA, Canning, freezing, storing garden produce, 1977; Iowa State University Extension 2017"
)


def frost_outlook(ground: Ground) -> list[Reason]:
    """Say what frost means for the crop: wait and pick, or lift and leave."""
    if ground.text("frost_class") == "tender":
        return [*_spring(ground), *_autumn(ground)]
    return _winter(ground)


def _spring(ground: Ground) -> list[Reason]:
    """Say when the last frosts come, for a tender crop that starts before midsummer."""
    season, shared = ground.sowing.season, ground.curves.shared
    exposed = percentile(ground.growth.stage_start, MIDDLE_PCT)
    if ground.crop.grown_from == "tuber":
        exposed += TUBER_SHOOT_DAYS
    if not season.begins <= exposed < season.midsummer:
        return []
    last = shared.once(
        ("last frost", season.begins, season.midsummer),
        lambda: last_frost_of(shared.climate, season.begins, season.midsummer),
    )
    frosts = last[last != NEVER].astype(float)
    if not frosts.size or percentile(frosts, LATE_FROST_PCT) < ground.curves.today:
        return []  # a frost that lies behind today warns nobody
    odds = float((last >= exposed).mean())
    if ground.sowing.fitness is not None and not odds:
        return []  # the day was chosen past every frost
    values = ground.computed(
        early_on=ground.day(percentile(frosts, EARLY_FROST_PCT)),
        middle_on=ground.day(percentile(frosts, MIDDLE_PCT)),
        late_on=ground.day(percentile(frosts, LATE_FROST_PCT)),
        years_pct=round(frosts.size / last.size * 100),
        exposed_on=ground.day(exposed),
        odds_pct=round(odds * 100),
        grown_from=ground.crop.grown_from,
    )
    return [Reason("last_frosts_of_spring", values, joined(FREEZE_ODDS, ground.source("frost_class")))]


def _autumn(ground: Ground) -> list[Reason]:
    """Say when the first frosts come, for a tender crop that still stands then."""
    season, shared = ground.sowing.season, ground.curves.shared
    if season.midsummer <= season.begins:
        return []
    first = shared.once(
        ("first frost", season.midsummer, season.until),
        lambda: cold_night_of(shared.climate, 0.0, season.midsummer, season.until + 1),
    )
    frosts = first[first != NEVER].astype(float)
    if not frosts.size or percentile(ground.growth.ripe_last, LATE_PCT) < percentile(frosts, THREAT_PCT):
        return []
    ready = percentile(np.minimum(ground.growth.ripe_first, ground.growth.stops), EARLY_PCT)
    values = ground.computed(
        early_on=ground.day(percentile(frosts, EARLY_FROST_PCT)),
        middle_on=ground.day(percentile(frosts, MIDDLE_PCT)),
        late_on=ground.day(percentile(frosts, LATE_FROST_PCT)),
        years_pct=round(frosts.size / first.size * 100),
        gather=ground.text("gather"),
        part=ground.text("harvested_part"),
        ready_on=ground.day(ready) if ready > percentile(frosts, EARLY_FROST_PCT) else None,
    )
    return [Reason("first_frosts_of_autumn", values, joined(FREEZE_ODDS, ground.source("frost_class")))]


def _winter(ground: Ground) -> list[Reason]:
    """Say whether what is dug may stay in the ground over this site's winter, and by when it must be up."""
    if ground.text("gather") != "lift" or ground.text("harvested_part") == "bulbs":
        return []
    begin = percentile(np.maximum(ground.growth.stops, ground.sowing.taken), MIDDLE_PCT)
    ripe = percentile(ground.growth.ripe_middle, MIDDLE_PCT)
    if begin >= ground.curves.horizon or ripe < begin - STANDS_SINCE_DAYS:
        return []  # no winter here, or the crop is long eaten by then
    frozen = _hard_frost(ground, begin)
    reached = frozen[frozen < ground.curves.horizon]
    share = reached.size / frozen.size
    stays = ground.text("stands_over_winter") == "yes"
    values = ground.computed(
        part=ground.text("harvested_part"),
        winters_pct=round(share * 100),
        early_on=ground.day(percentile(reached, THREAT_PCT)) if reached.size else None,
        middle_on=ground.day(percentile(reached, MIDDLE_PCT)) if reached.size else None,
        cold_c=COLD_NIGHT_C,
        cold_nights=COLD_NIGHTS,
        frozen_soil_c=FROZEN_SOIL_C,
        straw_cm=STRAW_CM,
        is_sweetened=ground.is_true("sweetened_by_frost"),
        bears_straw=ground.text("stands_over_winter") == "with cover",
    )
    if stays:
        rule, source = "winter_leave_and_dig", joined(LEFT_ALL_WINTER, COLD_SWEETENS)
    elif share >= COLD_WINTER_SHARE:
        rule, source = "winter_lift_before", LIFT_BEFORE_FREEZING
    else:
        rule, source = "winter_is_mild", joined(LIFT_BEFORE_FREEZING, PRACTICE)
    return [Reason(rule, values, joined(source, WINTER_TRIGGERS))]


def _hard_frost(ground: Ground, begin: int) -> Days:
    """Return each member's first day of hard frost in the winter from ``begin`` on; never is the horizon."""
    curves, shared = ground.curves, ground.curves.shared
    stop = min(begin + WINTER_DAYS, curves.horizon)

    def look() -> Days:
        nights = cold_night_of(shared.climate, COLD_NIGHT_C, begin, stop, nights=COLD_NIGHTS)
        cold_soil = curves.soil_c[:, begin:stop] < FROZEN_SOIL_C
        soil = np.where(cold_soil.any(axis=1), begin + cold_soil.argmax(axis=1), curves.horizon)
        return np.minimum(np.where(nights == NEVER, curves.horizon, nights), soil).astype(float)

    return shared.once(("hard frost", begin), look)
