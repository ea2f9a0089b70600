"""Writing down one letter that somebody's doing asks for: an invitation, a notice, a lost password."""

from datetime import datetime
from uuid import uuid4

from django.conf import settings
from django.db import transaction

from schedules.deliveries.nudging import nudge_after_commit
from schedules.deliveries.states import State
from schedules.models import Delivery, DeliveryStep
from society import clock
from society.models import Account, Member
from society.selectors import the_society
from society.zones import zone


@transaction.atomic
def delivery_order(
    *,
    kind: str,
    subject_key: str,
    now: datetime,
    member: Member | None = None,
    account: Account | None = None,
    address: str = "",
    title: str = "",
    text: str = "",
    html: str = "",
) -> Delivery:
    """The row of a letter that is due at once; ordered twice on one day, it is the same row.

    A letter that holds no secret may be written here already; others are written when they are sent.
    """
    key = uuid4()
    delivery, is_new = Delivery.objects.get_or_create(
        member=member,
        account=account,
        kind=kind,
        subject_key=subject_key,
        local_date=clock.local_date(now, zone(_zone_of(member))),
        defaults={
            "key": key,
            "address": address,
            "due_at": now,
            "not_before": now,
            "message_id": f"<{key}@{settings.MAIL_DOMAIN}>",
            "title": title,
            "text": text,
            "html": html,
        },
    )
    if is_new:
        DeliveryStep.objects.create(delivery=delivery, at=now, state=State.DUE)
        nudge_after_commit()
    return delivery


def _zone_of(member: Member | None) -> str:
    society = member.society if member else the_society()
    return society.zone if society else "UTC"
