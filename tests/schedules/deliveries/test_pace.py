"""The provider's rate a minute, over all workers."""

from datetime import timedelta
from typing import Any

import pytest
import time_machine

from schedules import deliveries, tasks
from schedules.deliveries.pace import seconds_until_room
from schedules.models import Delivery, DeliveryStep
from tests import factories
from tests.mail_server import MailServer
from tests.schedules.deliveries.steps import SEVEN_IN_LONDON, State, claim_one, plan, send, states_of

pytestmark = pytest.mark.django_db
MINUTE = timedelta(seconds=61)


@pytest.fixture
def one_a_minute(due: factories.Cast, settings: Any) -> factories.Cast:
    settings.MAIL_PER_MINUTE = 1
    plan()
    return due


def test_without_a_limit_there_is_always_room(due: factories.Cast, mail_server: MailServer) -> None:
    plan()
    assert [send(claim_one()), send(claim_one())] == [State.SENT] * 2
    assert seconds_until_room(now=SEVEN_IN_LONDON) == 0.0


def test_the_second_letter_waits_for_the_next_minute(
    one_a_minute: factories.Cast, mail_server: MailServer
) -> None:
    assert send(claim_one()) == State.SENT
    assert seconds_until_room(now=SEVEN_IN_LONDON + timedelta(seconds=21)) == 40.0
    assert seconds_until_room(now=SEVEN_IN_LONDON + MINUTE) == 0.0


def test_two_workers_that_both_saw_room_share_one_place(
    one_a_minute: factories.Cast, mail_server: MailServer
) -> None:
    first, second = claim_one(), claim_one()
    assert send(first) == State.SENT
    assert send(second) == State.DUE  # it saw room before, and gives the letter back untried
    assert len(mail_server.arrived) == 1
    given_back = Delivery.objects.get(pk=second.pk)
    assert (given_back.attempts, given_back.claim) == (0, None)
    assert states_of(given_back) == [State.DUE, State.CLAIMED, State.DUE]
    later = SEVEN_IN_LONDON + MINUTE
    assert send(claim_one(later), later) == State.SENT


def test_a_clock_set_back_an_hour_does_not_stop_letters(
    one_a_minute: factories.Cast, mail_server: MailServer
) -> None:
    send(claim_one())
    DeliveryStep.objects.update(at=SEVEN_IN_LONDON + timedelta(hours=1))
    assert seconds_until_room(now=SEVEN_IN_LONDON) == 0.0


def test_a_run_stops_where_the_rate_does(
    one_a_minute: factories.Cast, mail_server: MailServer, settings: Any
) -> None:
    settings.LETTERS_RUN_SECONDS = 5
    with time_machine.travel(SEVEN_IN_LONDON, tick=False):
        tasks.deliveries_send()
    assert len(mail_server.arrived) == 1
    assert sorted(Delivery.objects.values_list("state", flat=True)) == [State.DUE, State.SENT]
    with time_machine.travel(SEVEN_IN_LONDON + MINUTE, tick=False):
        tasks.deliveries_send()
    assert len(mail_server.arrived) == 2


def test_a_closed_mail_room_is_no_pace(due: factories.Cast, settings: Any) -> None:
    settings.MAIL_PER_MINUTE = 1
    deliveries.letters_close(why="", account=None, now=SEVEN_IN_LONDON)
    assert seconds_until_room(now=SEVEN_IN_LONDON) == 0.0
