"""What frost will do to a sowing."""

from schedules.planner.drafts import Ground
from schedules.planner.types import Reason


def frost_outlook(ground: Ground) -> list[Reason]:
    """Say what frost means for the crop: lift, leave, or wait."""
    return []
