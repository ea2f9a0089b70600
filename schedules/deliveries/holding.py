"""Keeping letters in the house: all of them, or those that may have gone out before a backup was put back.

A row that is held here is only set aside: nothing is lost, and letting it go makes it due.
"""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet

from schedules.deliveries.states import AT_ONCE, State, deliveries_move
from schedules.models import Delivery, DeliveryStep, MailRoom
from society.changes import note
from society.models import Account

OLDER = "it fell due before a backup was put back and may have gone out: it waits for the committee"
OPEN_STATES = (State.DUE, State.CLAIMED, State.HANDED_OVER, State.DOUBTFUL)


def mail_room() -> MailRoom:
    """How things stand; an unsaved open room where nobody ever closed it."""
    return MailRoom.objects.filter(pk=MailRoom.ONLY).first() or MailRoom(pk=MailRoom.ONLY)


def free_to_go(rows: QuerySet[Delivery]) -> QuerySet[Delivery]:
    """Those of the rows that nothing keeps in the house."""
    keeps = Q(closed_at__isnull=False) | Q(hold_before__gte=OuterRef("due_at"))
    return rows.filter(~Exists(MailRoom.objects.filter(keeps, pk=MailRoom.ONLY)))


@transaction.atomic
def letters_close(*, why: str, account: Account | None, now: datetime) -> None:
    """Let no letter leave until further notice. What is at the mail server's door already is let finish."""
    room, _ = MailRoom.objects.get_or_create(pk=MailRoom.ONLY)
    if room.closed_at is None:
        MailRoom.objects.filter(pk=MailRoom.ONLY).update(closed_at=now, closed_why=why[:200])
        note(room, "letters.closed", account=account, now=now)


@transaction.atomic
def letters_open(*, account: Account | None, now: datetime) -> None:
    """Let letters leave again; those that are too late by now are missed, as always."""
    closed = MailRoom.objects.filter(pk=MailRoom.ONLY, closed_at__isnull=False)
    if closed.update(closed_at=None, closed_why=""):
        note(mail_room(), "letters.opened", account=account, now=now)


@transaction.atomic
def letters_hold_older(*, before: datetime, account: Account | None, now: datetime) -> int:
    """Hold what fell due up to an instant, also what is only written down later; how many rows were held.

    For a backup that was put back: letters due between backup and loss may have gone out, and their rows
    are as they were before. `before` is the instant of putting it back.
    """
    if before > now:
        raise ValidationError(
            {"before": f"{before:%Y-%m-%d %H:%M} UTC is still to come; give an instant gone by"}
        )
    MailRoom.objects.get_or_create(pk=MailRoom.ONLY)
    room = MailRoom.objects.select_for_update().get(pk=MailRoom.ONLY)
    room.hold_before = max(before, room.hold_before or before)
    room.save(update_fields=["hold_before"])
    older = Delivery.objects.filter(due_at__lte=before, state__in=OPEN_STATES)
    held = list(older.select_for_update().values_list("pk", flat=True))
    _set_aside(held, now=now)
    note(room, "letters.older_held", account=account, now=now, before=before.date())
    return len(held)


def older_set_aside(*, now: datetime) -> int:
    """The sweep's part of it: due rows that were written down since, for hours that lie before."""
    before = mail_room().hold_before
    if before is None:
        return 0
    return deliveries_move(
        Delivery.objects.filter(state=State.DUE, due_at__lte=before),
        to=State.HELD,
        now=now,
        note=OLDER,
        limit=AT_ONCE,
        last_error=OLDER,
    )


@transaction.atomic
def letters_release_older(*, account: Account | None, now: datetime) -> int:
    """Let go what was held as older, each row with its tries behind it; how many are due again."""
    MailRoom.objects.filter(pk=MailRoom.ONLY).update(hold_before=None)
    held = Delivery.objects.filter(state=State.HELD, last_error=OLDER)
    rows = list(held.select_for_update().values_list("pk", flat=True))
    Delivery.objects.filter(pk__in=rows).update(
        state=State.DUE, not_before=now, claim=None, lease_until=None, last_error=""
    )
    _steps(rows, state=State.DUE, said="the committee lets it go", now=now)
    note(mail_room(), "letters.older_released", account=account, now=now, count=len(rows))
    return len(rows)


def _set_aside(rows: list[int], *, now: datetime) -> None:
    Delivery.objects.filter(pk__in=rows).update(
        state=State.HELD, claim=None, lease_until=None, last_error=OLDER
    )
    _steps(rows, state=State.HELD, said=OLDER, now=now)


def _steps(rows: list[int], *, state: str, said: str, now: datetime) -> None:
    DeliveryStep.objects.bulk_create(
        DeliveryStep(delivery_id=pk, at=now, state=state, note=said) for pk in rows
    )
