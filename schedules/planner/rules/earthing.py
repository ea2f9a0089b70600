"""Drawing soil up to stems and stalks."""

from schedules.planner.drafts import Draft, Ground


def earth_up(ground: Ground) -> list[Draft]:
    """Ask for each earthing up."""
    return []
