"""Putting the crop away, and looking it over through the winter."""

from schedules.planner.drafts import Draft, Ground, Spacing
from schedules.planner.rules.harvest import MOIST_WAYS, storing_day
from schedules.planner.sources import PRACTICE, STORE_POTATOES, STORE_ROOTS, joined
from schedules.planner.types import Kind, Reason, Scalar
from schedules.planner.windows import Span

DRYING_DAYS = 14
STORING_DAYS = 14
DAYS_PER_WEEK = 7
HOME_SHARE = 0.5
HALF_AT_HOME = f"half of the published weeks, for an unheated shed: {PRACTICE}"
# What lies moist rots on sooner than what lies dry.
LOOK_EVERY_DAYS = {"sand": 14, "cool": 14, "dark": 28, "dry": 28, "warm": 28}
MOST_LOOKS = 5
# How each store is filled: its rule, the days of drying before, and what says so.
STORE_WAYS = {
    "sand": ("store_in_sand", 0, STORE_ROOTS),
    "dry": ("dry_then_store", DRYING_DAYS, PRACTICE),
    "dark": ("store_in_the_dark", 1, STORE_POTATOES),
    "cool": ("store_cool_and_moist", 0, PRACTICE),
    "warm": ("ripen_then_store", DRYING_DAYS, PRACTICE),
}


def store(ground: Ground, lifting: list[Draft]) -> list[Draft]:
    """Ask for storing after lifting, for the sorts that are grown to keep."""
    way = ground.text("store_way")
    if not lifting or not way or not ground.is_true("storable") or ground.text("crop_type") == "early":
        return []
    rule, days, source = STORE_WAYS[way]
    values: dict[str, Scalar] = {
        name: ground.figure(name)
        for name in ("storage_c", "storage_rh_min_pct", "storage_rh_max_pct", "storage_min_weeks")
    }
    values |= {"drying_days": days, "part": ground.text("harvested_part")}
    reason = Reason(rule, values, joined(ground.source("storage_c"), source))
    keeps_on = storing_day(ground, lifting[0].span)
    if way in MOIST_WAYS and keeps_on is None and _is_summer(ground, lifting[0].span):
        return []  # what is ripe so long before it grows cool is eaten
    span = Span.on(0)
    if keeps_on is not None:
        span = Span(keeps_on, keeps_on + STORING_DAYS // 2, keeps_on + STORING_DAYS)
    return [Draft(Kind.STORE, span, reason, spacing=Spacing(Kind.LIFT, days))]


def _is_summer(ground: Ground, span: Span) -> bool:
    """True where nobody lifted yet, in a place with a winter that the crop will not stand until."""
    is_lifted = f"{ground.request.key}/{Kind.LIFT}" in ground.record
    return not is_lifted and ground.sowing.season.midsummer > 0 and span.by < ground.sowing.season.median_end


def look_over_store(ground: Ground, storing: list[Draft]) -> list[Draft]:
    """Ask for looks at what lies in store, often at first, until the store is likely to fail.

    The published weeks are those of a cold store; an unheated shed is warmer and swings, so half are counted.
    After the last round the looks go on by the month without a job of their own.
    """
    weeks = ground.figure("storage_max_weeks")
    if not storing or weeks is None:
        return []
    home_weeks = weeks * HOME_SHARE
    every = LOOK_EVERY_DAYS[ground.text("store_way")]
    rounds = min(MOST_LOOKS, int(home_weeks * DAYS_PER_WEEK) // every)
    values: dict[str, Scalar] = {
        "stages": rounds,
        "every_days": every,
        "way": ground.text("store_way"),
        "part": ground.text("harvested_part"),
        "goes_on": home_weeks * DAYS_PER_WEEK >= (rounds + 1) * every,
    }
    lasting: dict[str, Scalar] = {"home_weeks": home_weeks, "published_weeks": weeks}
    keeps = Reason("keeps_half_as_long", lasting, joined(ground.source("storage_max_weeks"), HALF_AT_HOME))
    return [
        Draft(
            Kind.STORE_CHECK,
            Span.on(0),
            Reason("look_over_store", {**values, "stage": stage, "after_days": stage * every}, PRACTICE),
            stage=stage,
            spacing=Spacing(Kind.STORE, stage * every),
            notes=(keeps,),
        )
        for stage in range(1, rounds + 1)
    ]
