"""Taking letters in hand: no two workers ever hold the same one."""

from datetime import datetime
from uuid import uuid4

from django.db import transaction

from schedules.deliveries.holding import free_to_go
from schedules.deliveries.states import RowsMoved, State, lease
from schedules.models import Delivery, DeliveryStep


def deliveries_claim(*, now: datetime, limit: int) -> list[Delivery]:
    """Take up to `limit` due letters, oldest first, under a fresh token and a lease.

    On PostgreSQL picked rows are locked and others' are skipped; SQLite has no row locks but one writer
    anyway. Either way a picked row must still be due when it is written.
    """
    token, until = uuid4(), now + lease()
    due = free_to_go(Delivery.objects.filter(state=State.DUE, not_before__lte=now))
    with transaction.atomic(durable=True):
        rows = due.select_related("member__society", "member__letters_wanted").order_by("not_before", "pk")
        picked = list(rows.select_for_update(skip_locked=True, of=("self",))[:limit])
        for delivery in picked:
            delivery.attempts += 1
            still_due = Delivery.objects.filter(pk=delivery.pk, state=State.DUE)
            moved = still_due.update(
                state=State.CLAIMED, claim=token, lease_until=until, attempts=delivery.attempts
            )
            if moved != 1:
                raise RowsMoved(f"letter {delivery.pk} was picked to be claimed and is not due any more")
            delivery.state, delivery.claim, delivery.lease_until = State.CLAIMED, token, until
        DeliveryStep.objects.bulk_create(
            DeliveryStep(delivery=delivery, at=now, state=State.CLAIMED) for delivery in picked
        )
    return picked
