"""Putting the crop away, and looking it over through the winter."""

from schedules.planner.drafts import Draft, Ground, Spacing
from schedules.planner.sources import PRACTICE, STORE_POTATOES, STORE_ROOTS, joined
from schedules.planner.types import Kind, Reason, Scalar
from schedules.planner.windows import Span

DRYING_DAYS = 14
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
    return [Draft(Kind.STORE, Span.on(0), reason, spacing=Spacing(Kind.LIFT, days))]


def look_over_store(ground: Ground, storing: list[Draft]) -> list[Draft]:
    """Ask for looks at what lies in store."""
    return []
