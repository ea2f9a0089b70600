"""What a sowing takes: seed, sets, packets, sand."""

from schedules.planner.drafts import Ground
from schedules.planner.types import Reason


def seed_outlook(ground: Ground) -> list[Reason]:
    """Say what the sowing takes."""
    return []
