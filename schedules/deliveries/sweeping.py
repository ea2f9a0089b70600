"""Picking up what a dead worker left lying. Doubts are settled before new ones are found."""

from datetime import datetime

from django.db.models import F

from schedules.deliveries.states import MOST_TRIES, State, deliveries_move
from schedules.models import Delivery

AT_ONCE = 500


def deliveries_sweep(*, now: datetime) -> int:
    """Move every letter whose time in its state is over; returns how many moved.

    1. In doubt for the second time: held, the committee decides.
    2. In doubt for the first time: due once more, with the same Message-ID.
    3. Handed over and never heard of again: in doubt.
    4. Claimed and never handed over: due again, or refused when every try ended so.
    """
    doubtful = Delivery.objects.filter(state=State.DOUBTFUL)
    stale = Delivery.objects.filter(lease_until__lt=now)
    claimed = stale.filter(state=State.CLAIMED)
    free = {"claim": None, "lease_until": None}
    held = deliveries_move(
        doubtful.filter(doubts__gt=1),
        to=State.HELD,
        now=now,
        note="in doubt twice: it waits for the committee",
        limit=AT_ONCE,
        **free,
    )
    again = deliveries_move(
        doubtful.filter(doubts__lte=1, not_before__lte=now),
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
        lease_until=None,  # the claim stays: a late yes may still end the doubt
        not_before=now,
    )
    worn_out = f"given up: {MOST_TRIES} workers in turn never came to an end with it"
    refused = deliveries_move(
        claimed.filter(attempts__gte=MOST_TRIES),
        to=State.REFUSED,
        now=now,
        note=worn_out,
        limit=AT_ONCE,
        last_error=worn_out,
        **free,
    )
    returned = deliveries_move(
        claimed.filter(attempts__lt=MOST_TRIES),
        to=State.DUE,
        now=now,
        note="the worker never came back; nothing had left the house",
        limit=AT_ONCE,
        not_before=now,
        **free,
    )
    return held + again + doubted + refused + returned
