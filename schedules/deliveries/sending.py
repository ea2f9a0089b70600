"""One letter from claim to outcome. SMTP runs outside every transaction."""

import logging
import random
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from typing import TypeVar

from celery.exceptions import SoftTimeLimitExceeded
from django.conf import settings
from django.db import InterfaceError, OperationalError, connection

from schedules.deliveries.checking import NotNow
from schedules.deliveries.pace import TooFast, room_take
from schedules.deliveries.post import (
    Post,
    Unreachable,
    described,
    is_about_the_address,
    state_after,
)
from schedules.deliveries.reading_ahead import ReadAhead
from schedules.deliveries.states import State, delivery_advance
from schedules.deliveries.writing import Written, message_of
from schedules.letter_stops import NotSent
from schedules.models import Delivery
from society.address_services import address_accepted, address_refusal_count

log = logging.getLogger(__name__)

# Pauses after refusals for now, as multiples of the first: with two minutes, up to two hours.
PAUSES = (1, 5, 15, 60)
JITTER = 0.2
LAST_DOUBT = 2
DATABASE_NAP_S = 0.5

Answer = TypeVar("Answer")


def delivery_send(delivery: Delivery, *, post: Post, now: datetime, ahead: ReadAhead | None = None) -> str:
    """Check, write, hand over and settle one claimed letter; returns the state it reached.

    1. Nothing leaves the house before the row says handed_over, and that is committed.
    2. After that, only the server's clear answer counts as an answer; anything else is a doubt.
    3. Nothing is said to the server after the claim's lease is over.
    """
    post.begin()
    written = _written(delivery, ahead, now=now)
    if written is None:
        return delivery.state
    try:
        is_ours = delivery_advance(
            delivery,
            frm=[State.CLAIMED],
            to=State.HANDED_OVER,
            now=now,
            guard=room_take,
            title=delivery.title,
            text=delivery.text,
            html=delivery.html,
            told=delivery.told,
            follows=delivery.follows,
        )
    except TooFast:
        return _give_back(delivery, note="this minute's letters are used up", now=now)
    if not is_ours:
        log.warning("delivery %s: the claim was lost before hand-over; not sent here", delivery.pk)
        return delivery.state
    try:
        post.send(written.sealed)
    except Exception as fault:  # noqa: BLE001 - whatever went wrong, the letter may be out: settle, never drop
        settle = partial(_settle, delivery, fault, post=post, written=written, now=now)
        return _stubbornly(settle, post)
    _stubbornly(
        lambda: delivery_advance(
            delivery,
            frm=[State.HANDED_OVER, State.DOUBTFUL],  # a slow server's late yes still ends the doubt
            to=State.SENT,
            now=now,
            note="sent once more, with the same Message-ID" if delivery.doubts else "",
            sent_at=now,
            lease_until=None,
            last_error="",
        ),
        post,
    )
    if written.was_refused:
        address_accepted(address=written.to)
    return delivery.state


def _written(delivery: Delivery, ahead: ReadAhead | None, *, now: datetime) -> Written | None:
    """The message ready to go; None when the row has gone elsewhere."""
    try:
        return message_of(delivery, now=now, ahead=ahead)
    except NotNow as quiet:
        _give_back(delivery, note=str(quiet), not_before=quiet.until, now=now)
    except NotSent as reason:
        _stop(delivery, to=State.MISSED, error=str(reason), now=now)
    except SoftTimeLimitExceeded:
        raise
    except Exception as fault:  # one letter that cannot be written must not hold up the others
        log.exception("delivery %s cannot be written", delivery.pk)
        _stop(delivery, to=State.REFUSED, error=f"cannot be written: {described(fault)}", now=now)
    return None


def _settle(delivery: Delivery, fault: Exception, *, post: Post, written: Written, now: datetime) -> str:
    error = described(fault)
    if isinstance(fault, Unreachable):
        log.error("letters wait: %s", fault)
        return _try_later(delivery, error=str(fault), now=now)
    state = state_after(fault, may_be_out=post.may_be_out)
    if state == State.DUE:
        return _try_later(delivery, error=error, now=now)
    if state == State.REFUSED:
        _stop(delivery, frm=State.HANDED_OVER, to=State.REFUSED, error=error, now=now)
        if is_about_the_address(fault):
            address_refusal_count(address=written.to, why=error, now=now)
        return delivery.state
    post.in_trouble = True
    return _doubt(delivery, error=error, now=now)


def _stubbornly(note_down: Callable[[], Answer], post: Post) -> Answer:
    """Note an outcome that only this process knows, over a database that comes back within the lease."""
    while True:
        try:
            return note_down()
        except (OperationalError, InterfaceError):
            if connection.in_atomic_block or post.seconds_left() < DATABASE_NAP_S:
                raise
            connection.close()
            time.sleep(DATABASE_NAP_S)


def _doubt(delivery: Delivery, *, error: str, now: datetime) -> str:
    """The server took the letter and did not answer: once more after a pause, and then never by itself."""
    doubts = delivery.doubts + 1
    is_last = doubts >= LAST_DOUBT
    delivery_advance(
        delivery,
        frm=[State.HANDED_OVER],
        to=State.HELD if is_last else State.DOUBTFUL,
        now=now,
        note=f"handed over, no clear answer{', again: the committee decides' if is_last else ''}: {error}",
        doubts=doubts,
        not_before=now + _pause(1),
        lease_until=None,
        last_error=error,
    )
    return delivery.state


def _try_later(delivery: Delivery, *, error: str, now: datetime) -> str:
    delivery_advance(
        delivery,
        frm=[State.HANDED_OVER],
        to=State.DUE,
        now=now,
        note=error,
        claim=None,
        lease_until=None,
        not_before=now + _pause(delivery.attempts),
        last_error=error,
    )
    return delivery.state


def _give_back(delivery: Delivery, *, note: str, now: datetime, not_before: datetime | None = None) -> str:
    """Nothing was tried: another worker took the minute's last place, or the reader wants quiet."""
    delivery_advance(
        delivery,
        frm=[State.CLAIMED],
        to=State.DUE,
        now=now,
        note=note,
        claim=None,
        lease_until=None,
        not_before=not_before or delivery.not_before,
        attempts=delivery.attempts - 1,
    )
    return delivery.state


def _stop(delivery: Delivery, *, to: str, error: str, now: datetime, frm: str = State.CLAIMED) -> str:
    delivery_advance(
        delivery, frm=[frm], to=to, now=now, note=error, claim=None, lease_until=None, last_error=error
    )
    return delivery.state


def _pause(attempt: int) -> timedelta:
    # Jitter, so that letters refused together do not all come back in the same minute.
    times = PAUSES[min(attempt, len(PAUSES)) - 1]
    seconds = settings.RETRY_SECONDS * times
    return timedelta(seconds=seconds * random.SystemRandom().uniform(1 - JITTER, 1 + JITTER))
