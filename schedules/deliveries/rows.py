"""Writing rows of letters down, many at once. Written again, a row that is there already stays as it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import uuid4

from django.conf import settings
from django.db import transaction

from schedules.deliveries.states import State
from schedules.models import Delivery, DeliveryStep
from society.models import Member


@dataclass(frozen=True, slots=True)
class Row:
    """A letter to be written down; ``not_before`` is the end of quiet hours, where it lies in some."""

    member: Member
    kind: str
    subject_key: str
    local_date: date
    due_at: datetime
    not_before: datetime | None = None


@transaction.atomic
def rows_write(rows: Sequence[Row], *, now: datetime) -> int:
    """Write these letters down with their first step; returns how many are new."""
    if not rows:
        return 0
    made = [_delivery(row) for row in rows]
    Delivery.objects.bulk_create(made, ignore_conflicts=True)
    # Rows that another planner wrote first were ignored; only those that landed get their first step.
    landed = Delivery.objects.filter(key__in=[row.key for row in made]).values_list("pk", flat=True)
    steps = [DeliveryStep(delivery_id=pk, at=now, state=State.DUE) for pk in landed]
    DeliveryStep.objects.bulk_create(steps)
    return len(steps)


def _delivery(row: Row) -> Delivery:
    key = uuid4()
    return Delivery(
        key=key,
        member=row.member,
        kind=row.kind,
        subject_key=row.subject_key,
        local_date=row.local_date,
        due_at=row.due_at,
        not_before=row.not_before or row.due_at,
        message_id=f"<{key}@{settings.MAIL_DOMAIN}>",
    )
