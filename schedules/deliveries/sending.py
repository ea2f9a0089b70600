"""One letter from claim to outcome. SMTP runs outside every transaction."""

import logging
import random
from datetime import datetime, timedelta

from celery.exceptions import SoftTimeLimitExceeded
from django.core.mail import EmailMessage

from schedules.deliveries.post import Post, Unreachable, described, state_after
from schedules.deliveries.states import MOST_TRIES, State, delivery_advance, lease
from schedules.deliveries.writing import message_of
from schedules.letter_stops import NotSent
from schedules.models import Delivery

log = logging.getLogger(__name__)

PAUSES_MIN = (2, 10, 30, 120)
JITTER = 0.2


def delivery_send(delivery: Delivery, *, post: Post, now: datetime) -> str:
    """Check, write, hand over and settle one claimed letter; returns the state it reached.

    1. Nothing leaves the house before the row says handed_over, and that is committed.
    2. After that, only the server's clear answer counts as an answer; anything else is a doubt.
    """
    message = _prepared(delivery, now=now)
    if message is None:
        return delivery.state
    try:
        post.ready()
    except Unreachable as fault:
        return _try_later(delivery, frm=State.CLAIMED, error=str(fault), now=now)
    if not delivery_advance(
        delivery, frm=[State.CLAIMED], to=State.HANDED_OVER, now=now, lease_until=now + lease()
    ):
        log.warning("delivery %s: the claim was lost before hand-over; not sent here", delivery.pk)
        return delivery.state
    try:
        post.send(message)
    except Exception as fault:  # noqa: BLE001 - whatever went wrong, the letter may be out: settle, never drop
        return _settle(delivery, fault, now=now)
    delivery_advance(
        delivery,
        frm=[State.HANDED_OVER, State.DOUBTFUL],  # a slow server's late yes still ends the doubt
        to=State.SENT,
        now=now,
        note="sent once more, with the same Message-ID" if delivery.doubts else "",
        sent_at=now,
        lease_until=None,
        last_error="",
    )
    return delivery.state


def _prepared(delivery: Delivery, *, now: datetime) -> EmailMessage | None:
    """The message ready to go, kept in the row; None when the row has gone elsewhere."""
    try:
        message = message_of(delivery, now=now)
        message.message()  # a header or address that cannot be written shows here, before hand-over
    except NotSent as reason:
        _stop(delivery, to=State.MISSED, error=str(reason), now=now)
        return None
    except SoftTimeLimitExceeded:
        raise
    except Exception as fault:  # one letter that cannot be written must not hold up the others
        log.exception("delivery %s cannot be written", delivery.pk)
        _stop(delivery, to=State.REFUSED, error=f"cannot be written: {described(fault)}", now=now)
        return None
    Delivery.objects.filter(pk=delivery.pk, claim=delivery.claim).update(
        title=delivery.title, text=delivery.text, html=delivery.html
    )
    return message


def _settle(delivery: Delivery, fault: Exception, *, now: datetime) -> str:
    state, error = state_after(fault), described(fault)
    if state == State.DUE:
        return _try_later(delivery, frm=State.HANDED_OVER, error=error, now=now)
    if state == State.REFUSED:
        return _stop(delivery, frm=State.HANDED_OVER, to=State.REFUSED, error=error, now=now)
    delivery_advance(
        delivery,
        frm=[State.HANDED_OVER],
        to=State.DOUBTFUL,
        now=now,
        note=f"handed over, no clear answer: {error}",
        doubts=delivery.doubts + 1,
        not_before=now + _pause(1),
        lease_until=None,
        last_error=error,
    )
    return delivery.state


def _try_later(delivery: Delivery, *, frm: str, error: str, now: datetime) -> str:
    if delivery.attempts >= MOST_TRIES:
        error = f"given up after {delivery.attempts} tries: {error}"
        return _stop(delivery, frm=frm, to=State.REFUSED, error=error, now=now)
    delivery_advance(
        delivery,
        frm=[frm],
        to=State.DUE,
        now=now,
        note=error,
        claim=None,
        lease_until=None,
        not_before=now + _pause(delivery.attempts),
        last_error=error,
    )
    return delivery.state


def _stop(delivery: Delivery, *, to: str, error: str, now: datetime, frm: str = State.CLAIMED) -> str:
    delivery_advance(
        delivery, frm=[frm], to=to, now=now, note=error, claim=None, lease_until=None, last_error=error
    )
    return delivery.state


def _pause(attempt: int) -> timedelta:
    # Jitter, so that letters refused together do not all come back in the same minute.
    minutes = PAUSES_MIN[min(attempt, len(PAUSES_MIN)) - 1]
    return timedelta(minutes=minutes * random.SystemRandom().uniform(1 - JITTER, 1 + JITTER))
