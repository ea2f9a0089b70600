"""Cold, day length and drought that make a crop run to seed."""

from schedules.planner.drafts import Ground
from schedules.planner.types import Reason


def bolting_warnings(ground: Ground) -> list[Reason]:
    """Warn of a sowing that may run to seed."""
    return []
