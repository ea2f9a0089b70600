"""Taking letters in hand: no two workers ever hold the same one."""

from datetime import datetime
from uuid import uuid4

from django.db.models import F

from schedules.deliveries.holding import free_to_go
from schedules.deliveries.states import State, deliveries_move, lease
from schedules.models import Delivery


def deliveries_claim(*, now: datetime, limit: int) -> list[Delivery]:
    """Take up to `limit` due letters, oldest first, under a fresh token and a lease."""
    token = uuid4()
    deliveries_move(
        free_to_go(Delivery.objects.filter(state=State.DUE, not_before__lte=now)),
        to=State.CLAIMED,
        now=now,
        note="",
        limit=limit,
        claim=token,
        lease_until=now + lease(),
        attempts=F("attempts") + 1,
    )
    return list(
        Delivery.objects.filter(claim=token, state=State.CLAIMED)
        .select_related("member__society", "member__letters_wanted")
        .order_by("not_before", "pk")
    )
