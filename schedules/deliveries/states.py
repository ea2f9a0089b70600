"""Moving letters from state to state. Every move is conditional and leaves a step behind."""

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from typing import Any

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured
from django.db import transaction
from django.db.models import QuerySet

from schedules.models import Delivery, DeliveryStep

State = Delivery.State

TOO_LATE = timedelta(hours=48)
# A letter over which so many workers died is poison, or very unlucky: the committee decides.
MOST_LOSSES = 8
AT_ONCE = 500


class RowsMoved(RuntimeError):
    """Rows picked under lock did not change: the database does not serialise as the claim needs."""


def lease() -> timedelta:
    """How long a claim holds. A worker still waiting for the mail server must not lose its letter."""
    if settings.LEASE_SECONDS <= settings.EMAIL_TIMEOUT:
        raise ImproperlyConfigured(
            f"COMMONROW_LEASE_SECONDS: {settings.LEASE_SECONDS} must be above COMMONROW_MAIL_TIMEOUT "
            f"({settings.EMAIL_TIMEOUT}), or a slow letter is taken for a lost one"
        )
    return timedelta(seconds=settings.LEASE_SECONDS)


def delivery_advance(
    delivery: Delivery,
    *,
    frm: Iterable[str],
    to: str,
    now: datetime,
    note: str = "",
    guard: Callable[..., None] | None = None,
    **fields: Any,
) -> bool:
    """Move a letter on if this claim still holds; False means that another worker has it.

    A `guard` that raises undoes the move.
    """
    with transaction.atomic(durable=True):
        if guard is not None:
            guard(now=now)
        held = Delivery.objects.filter(pk=delivery.pk, claim=delivery.claim, state__in=list(frm))
        if held.update(state=to, **fields) != 1:
            return False
        DeliveryStep.objects.create(delivery=delivery, at=now, state=to, note=note)
    for name, value in {"state": to, **fields}.items():
        setattr(delivery, name, value)
    return True


def deliveries_move(
    rows: QuerySet[Delivery], *, to: str, now: datetime, note: str, limit: int, **fields: Any
) -> int:
    """Move up to `limit` rows that nobody else has in hand; SQLite has no row locks but one writer anyway."""
    with transaction.atomic(durable=True):
        locked = rows.order_by("not_before", "pk").select_for_update(skip_locked=True)
        picked = list(locked.values_list("pk", flat=True)[:limit])
        if not picked:
            return 0
        if rows.order_by().filter(pk__in=picked).update(state=to, **fields) != len(picked):
            raise RowsMoved(f"{len(picked)} letters were picked for {to}, and not all of them changed")
        DeliveryStep.objects.bulk_create(
            DeliveryStep(delivery_id=pk, at=now, state=to, note=note) for pk in picked
        )
    return len(picked)
