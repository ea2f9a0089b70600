"""Writing down which letters fall due. Nothing is sent from here, and running it again is free."""

from datetime import datetime

from schedules.deliveries.planning_days import changes_over_plan, digests_plan
from schedules.deliveries.planning_notes import day_notes_plan
from schedules.deliveries.planning_notices import notices_plan
from schedules.deliveries.planning_weekly import weekly_plan


def deliveries_plan(*, now: datetime) -> int:
    """Write down every letter that falls due by itself; returns how many are new."""
    plans = (notices_plan, changes_over_plan, day_notes_plan, weekly_plan, digests_plan)
    return sum(plan(now=now) for plan in plans)
