"""A test letter: whether the way from this house to a mailbox stands."""

from datetime import datetime
from uuid import uuid4

from django.core.exceptions import ValidationError
from django.db import transaction

from schedules.deliveries import delivery_order
from schedules.models import Delivery
from society.changes import note
from society.models import Account, Member

MOST_A_DAY = 20


@transaction.atomic
def trial_letter_order(*, address: str, member: Member, account: Account | None, now: datetime) -> Delivery:
    """Write down a test letter to an address, asked for by a member of the committee.

    At most 20 a day are taken, so that the page cannot be used to fill somebody's mailbox.
    """
    asked = Delivery.objects.filter(kind=Delivery.Kind.TEST, local_date__gte=now.date()).count()
    if asked >= MOST_A_DAY:
        raise ValidationError(
            {"address": f"{MOST_A_DAY} test letters were asked for today already; try again tomorrow"}
        )
    row = delivery_order(
        kind=Delivery.Kind.TEST, subject_key=uuid4().hex, address=address, member=member, now=now
    )
    note(row, "letter.test_ordered", account=account, now=now, member=member.pk)
    return row
