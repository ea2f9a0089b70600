"""Water, only when it pays."""

from schedules.planner.drafts import Draft, Ground
from schedules.planner.types import Reason


def water(ground: Ground) -> list[Draft]:
    """Ask for water where the ground will want it."""
    return []


def water_outlook(ground: Ground) -> list[Reason]:
    """Say how the ground stands for water today."""
    return []
