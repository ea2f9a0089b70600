"""Sending a letter again that the mail server refused, or that waits for the committee."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction

from schedules.deliveries.nudging import nudge_after_commit
from schedules.deliveries.states import State
from schedules.models import Delivery, DeliveryStep
from society.changes import note
from society.models import Account

STOPPED = (State.REFUSED, State.HELD)


@transaction.atomic
def delivery_again(*, delivery: Delivery, account: Account | None, now: datetime) -> Delivery:
    """Make a stopped letter due at once, with all its tries before it and the same Message-ID.

    It counts as asked for now, so that it is not dropped for being late.
    """
    stopped = Delivery.objects.filter(pk=delivery.pk, state__in=STOPPED)
    moved = stopped.update(
        state=State.DUE,
        due_at=now,
        not_before=now,
        attempts=0,
        losses=0,
        claim=None,
        lease_until=None,
        last_error="",
    )
    fresh = Delivery.objects.get(pk=delivery.pk)
    if not moved:
        raise ValidationError(
            f"This letter is {fresh.get_state_display()} now, so it does not wait to be sent again."
        )
    DeliveryStep.objects.create(delivery=fresh, at=now, state=State.DUE, note="the committee sends it again")
    nudge_after_commit()
    note(fresh, "letter.sent_again", account=account, now=now, member=fresh.member_id, kind=fresh.kind)
    return fresh
