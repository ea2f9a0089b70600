"""Picking up what a dead worker left lying. Doubts are settled before new ones are found."""

from datetime import datetime

from django.db.models import F, QuerySet

from schedules.deliveries.holding import older_set_aside
from schedules.deliveries.states import AT_ONCE, MOST_LOSSES, State, deliveries_move
from schedules.models import Delivery

WORN_OUT = f"{MOST_LOSSES} workers in turn never came to an end with it: it waits for the committee"


def deliveries_sweep(*, now: datetime) -> int:
    """Move every letter whose time in its state is over; returns how many moved.

    1. In doubt: due once more, with the same Message-ID, or held where too many workers died over it.
    2. Handed over and never heard of again: in doubt.
    3. Claimed and never handed over: due again, or held likewise.
    4. Due, but older than a backup that was put back: held.
    """
    doubtful = Delivery.objects.filter(state=State.DOUBTFUL)
    stale = Delivery.objects.filter(lease_until__lt=now)
    claimed = stale.filter(state=State.CLAIMED)
    free = {"claim": None, "lease_until": None}
    again = deliveries_move(
        doubtful.filter(losses__lt=MOST_LOSSES, not_before__lte=now),
        to=State.DUE,
        now=now,
        note="to be sent once more, with the same Message-ID",
        limit=AT_ONCE,
        **free,
    )
    doubted = deliveries_move(
        stale.filter(state=State.HANDED_OVER),
        to=State.DOUBTFUL,
        now=now,
        note="handed over, and the worker never came back",
        limit=AT_ONCE,
        doubts=F("doubts") + 1,
        losses=F("losses") + 1,
        lease_until=None,  # the claim stays: a late yes may still end the doubt
        not_before=now,
    )
    returned = deliveries_move(
        claimed.filter(losses__lt=MOST_LOSSES - 1),
        to=State.DUE,
        now=now,
        note="the worker never came back; nothing had left the house",
        limit=AT_ONCE,
        losses=F("losses") + 1,
        not_before=now,
        **free,
    )
    return _worn_out(doubtful, claimed, now=now) + again + doubted + returned + older_set_aside(now=now)


def _worn_out(doubtful: QuerySet[Delivery], claimed: QuerySet[Delivery], *, now: datetime) -> int:
    """Hold what too many workers died over."""
    moved = 0
    for rows in (doubtful.filter(losses__gte=MOST_LOSSES), claimed.filter(losses__gte=MOST_LOSSES - 1)):
        moved += deliveries_move(
            rows,
            to=State.HELD,
            now=now,
            note=WORN_OUT,
            limit=AT_ONCE,
            last_error=WORN_OUT,
            claim=None,
            lease_until=None,
        )
    return moved
