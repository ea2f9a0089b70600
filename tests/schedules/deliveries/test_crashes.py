"""Workers that die: nothing is lost, and a doubt is sent once more and marked."""

from datetime import timedelta
from typing import Any

import pytest

from schedules import deliveries
from tests import factories
from tests.mail_server import HANG_UP, MailServer
from tests.schedules.deliveries.steps import (
    SEVEN_IN_LONDON,
    State,
    anas,
    claim_one,
    dies_after_hand_over,
    make_job,
    only_ana,
    send,
    states_of,
)

pytestmark = pytest.mark.django_db


def test_a_crash_before_hand_over_is_made_good(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    claim_one()  # and the worker dies
    later = SEVEN_IN_LONDON + timedelta(hours=1)
    deliveries.deliveries_sweep(now=later)
    send(claim_one(later), later)
    assert mail_server.message_ids == [anas().message_id]
    assert (anas().state, anas().doubts) == (State.SENT, 0)


def test_a_sweep_leaves_a_lease_that_still_runs(due: factories.Cast) -> None:
    only_ana(due)
    claim_one()
    assert deliveries.deliveries_sweep(now=SEVEN_IN_LONDON + timedelta(seconds=60)) == 0


def test_a_letter_that_eight_workers_died_over_waits_for_the_committee(due: factories.Cast) -> None:
    only_ana(due)
    now = SEVEN_IN_LONDON
    for losses in range(8):
        assert (anas().state, anas().losses) == (State.DUE, losses)
        claim_one(now)
        now += timedelta(hours=1)
        deliveries.deliveries_sweep(now=now)
    assert anas().state == State.HELD
    assert "8 workers" in anas().last_error


def test_a_crash_after_hand_over_is_sent_once_more_and_marked(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    dies_after_hand_over(claim_one(), SEVEN_IN_LONDON)
    later = SEVEN_IN_LONDON + timedelta(hours=1)
    deliveries.deliveries_sweep(now=later)
    deliveries.deliveries_sweep(now=later)
    send(claim_one(later), later)
    assert mail_server.message_ids == [anas().message_id] * 2
    assert (anas().state, anas().doubts) == (State.SENT, 1)
    assert State.DOUBTFUL in states_of(anas())


def test_what_is_sent_once_more_is_the_same_letter(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    dies_after_hand_over(claim_one(), SEVEN_IN_LONDON)
    make_job(due.bed)
    later = SEVEN_IN_LONDON + timedelta(hours=1)
    deliveries.deliveries_sweep(now=later)
    deliveries.deliveries_sweep(now=later)
    send(claim_one(later), later)
    first, second = mail_server.arrived
    assert first.get_body(("plain",)).get_content() == second.get_body(("plain",)).get_content()  # type: ignore[union-attr]


def test_a_second_worker_that_dies_costs_no_letter(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    now = SEVEN_IN_LONDON
    for _ in range(2):
        dies_after_hand_over(claim_one(now), now)
        now += timedelta(hours=1)
        deliveries.deliveries_sweep(now=now)
        deliveries.deliveries_sweep(now=now)
    assert send(claim_one(now), now) == State.SENT
    assert mail_server.message_ids == [anas().message_id] * 3
    assert (anas().doubts, anas().losses) == (2, 2)


def test_a_server_that_is_silent_twice_leaves_it_to_the_committee(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    mail_server.answers = [HANG_UP, HANG_UP]
    assert send(claim_one()) == State.DOUBTFUL
    later = SEVEN_IN_LONDON + timedelta(hours=1)
    deliveries.deliveries_sweep(now=later)
    assert send(claim_one(later), later) == State.HELD
    assert deliveries.deliveries_claim(now=later + timedelta(days=1), limit=1) == []


@pytest.mark.parametrize("dies", ["claimed", "handed over"])
def test_after_lease_and_two_sweeps_a_dead_workers_letter_can_be_taken_again(
    due: factories.Cast, mail_server: MailServer, settings: Any, dies: str
) -> None:
    only_ana(due)
    delivery = claim_one()
    if dies == "handed over":
        dies_after_hand_over(delivery, SEVEN_IN_LONDON)
    over = SEVEN_IN_LONDON + timedelta(seconds=settings.LEASE_SECONDS)
    for sweep in (1, 2):
        deliveries.deliveries_sweep(now=over + timedelta(seconds=sweep * settings.SWEEP_SECONDS))
    assert claim_one(over + timedelta(seconds=2 * settings.SWEEP_SECONDS)).pk == delivery.pk


def test_a_late_yes_ends_the_doubt(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    delivery = claim_one()

    class SlowPost(deliveries.Post):
        def send(self, message: Any) -> None:
            super().send(message)
            deliveries.deliveries_sweep(now=SEVEN_IN_LONDON + timedelta(hours=1))

    with SlowPost() as post:
        deliveries.delivery_send(delivery, post=post, now=SEVEN_IN_LONDON)
    assert (anas().state, anas().doubts) == (State.SENT, 1)
