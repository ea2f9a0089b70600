"""The control of every test of the claim: a sender that trusts its list.

The pick becomes a plain read of what is due and every move is unconditional. The rest is the code as it is.
"""

from datetime import datetime
from typing import Any

from schedules.models import Delivery


def plain_read(*, now: datetime, limit: int) -> list[Delivery]:
    due = Delivery.objects.filter(state=Delivery.State.DUE, not_before__lte=now)
    return list(due.select_related("member__society", "member__letters_wanted")[:limit])


def move_anyway(delivery: Delivery, *, to: str, now: datetime, **rest: Any) -> bool:
    Delivery.objects.filter(pk=delivery.pk).update(state=to)
    delivery.state = to
    return True
