"""What opens and closes the time for sowing where it is not the season's own beginning and end."""

from schedules.planner.demands import hottest_air_c, hottest_month_c, threshold_c, threshold_source
from schedules.planner.drafts import Ground
from schedules.planner.fitness import COLD, HEAT, PLANTS, RIPENING, SLOW
from schedules.planner.sources import FULL_COVER, HEAT_WAIT, PRACTICE, SOIL_ESTIMATE, joined
from schedules.planner.sowing import YEAR_ROUND
from schedules.planner.types import Reason

_OPENS = {
    HEAT: "heat_decides",
    RIPENING: "ripening_heat_decides",
    SLOW: "slow_growth_decides",
    PLANTS: "young_plants_decide",
}
_CLOSES = {
    HEAT: "heat_closes",
    RIPENING: "ripening_heat_closes",
    SLOW: "slow_growth_closes",
    COLD: "cold_closes",
    YEAR_ROUND: "year_round",
}


def what_opens(ground: Ground) -> list[Reason]:
    """Say what holds a sowing up where heat or slow growth came before it."""
    cause = ground.sowing.decided_by
    return [_reason(ground, _OPENS[cause], cause)] if cause in _OPENS else []


def what_closes(ground: Ground) -> list[Reason]:
    """Say what ends the time for sowing before the season does, or that nothing does."""
    cause = ground.sowing.closed_by
    return [_reason(ground, _CLOSES[cause], cause)] if cause in _CLOSES else []


def _reason(ground: Ground, rule: str, cause: str) -> Reason:
    crop = ground.crop
    hottest_c = hottest_month_c(crop) if cause == RIPENING else hottest_air_c(crop)
    values = ground.computed(
        closes_on=ground.day(ground.sowing.closes),
        hottest_c=hottest_c,
        practical_sow_soil_c=threshold_c(crop),
        crop=crop.name_in_text,
        part=ground.text("harvested_part"),
        grown_from=crop.grown_from,
        raising_days=ground.figure("raising_days"),
    )
    sources = {
        HEAT: HEAT_WAIT,
        RIPENING: joined(ground.source("hottest_month_c"), FULL_COVER),
        PLANTS: ground.source("raising_days"),
        COLD: joined(threshold_source(crop), SOIL_ESTIMATE),
    }
    return Reason(rule, values, sources.get(cause, PRACTICE))
