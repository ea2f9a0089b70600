"""What cannot be dated about a crop, and winters that it may not outlive."""

from schedules.planner.demands import counts_by_calendar
from schedules.planner.drafts import Ground
from schedules.planner.rules.harvest import HARD_WINTER_C, coldest_spell_c
from schedules.planner.sources import NO_FIGURE, PRACTICE
from schedules.planner.types import Reason, Values

# From midsummer to the end of the winter after it.
FIRST_WINTER_DAYS = 270


def outlook(ground: Ground) -> list[Reason]:
    """Return what the grower must watch because no figure, or no date, says it."""
    return [*_hard_winter(ground), *_unseen(ground), *_unripe(ground)]


def _hard_winter(ground: Ground) -> list[Reason]:
    """Warn of a winter that what must stand through it above ground may not outlive."""
    stands = counts_by_calendar(ground.crop) or ground.sowing.is_autumn
    if not stands or ground.text("gather") == "lift":
        return []
    coldest_c = coldest_spell_c(ground, ground.sowing.taken, FIRST_WINTER_DAYS)
    if coldest_c >= HARD_WINTER_C:
        return []
    return [Reason("winter_may_kill", ground.computed(coldest_month_c=coldest_c), PRACTICE)]


def _unseen(ground: Ground) -> list[Reason]:
    """Say that rounds are counted from sowing where nobody published when the seed shows."""
    if ground.crop.grown_from != "seed" or ground.growth.emergence is not None:
        return []
    return [Reason("emergence_not_known", {"crop": ground.crop.name_in_text}, NO_FIGURE)]


def _unripe(ground: Ground) -> list[Reason]:
    if ground.request.has_days:
        return []
    values: Values = {
        "crop": ground.crop.name_in_text,
        "gather": ground.text("gather"),
        "part": ground.text("harvested_part"),
    }
    year = ground.figure("first_gather_year")
    if year is None:
        return [Reason("gathering_not_known", values, NO_FIGURE)]
    return [Reason("gather_in_later_years", {**values, "year": year}, ground.source("first_gather_year"))]
