"""Starting young plants under cover."""

from schedules.planner.drafts import Draft, Ground


def raise_under_cover(ground: Ground) -> list[Draft]:
    """Ask for the start of what is planted out later."""
    return []
