"""Letters on their way: written down, claimed, checked, handed over, and never lost.

The row decides. A message from the broker only says "go and look"; it may be lost or doubled without effect.
"""

from schedules.deliveries.claiming import deliveries_claim
from schedules.deliveries.holding import (
    letters_close,
    letters_hold_older,
    letters_open,
    letters_release_older,
)
from schedules.deliveries.ordering import delivery_order
from schedules.deliveries.planning import deliveries_plan
from schedules.deliveries.planning_weekly import weekly_plan
from schedules.deliveries.post import Post
from schedules.deliveries.sending import delivery_send
from schedules.deliveries.states import delivery_advance, lease
from schedules.deliveries.sweeping import deliveries_sweep

__all__ = [
    "Post",
    "deliveries_claim",
    "deliveries_plan",
    "deliveries_sweep",
    "delivery_advance",
    "delivery_order",
    "delivery_send",
    "lease",
    "letters_close",
    "letters_hold_older",
    "letters_open",
    "letters_release_older",
    "weekly_plan",
]
