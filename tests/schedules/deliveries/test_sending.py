"""One letter to a real mail server: what every answer makes of it."""

from datetime import timedelta
from typing import Any

import pytest

from schedules import deliveries
from schedules.models import Delivery
from tests import factories
from tests.mail_server import HANG_UP, SILENCE, MailServer, free_port
from tests.schedules.deliveries.steps import (
    FRIDAY,
    SEVEN_IN_LONDON,
    State,
    anas,
    claim_one,
    only_ana,
    plan,
    send,
    states_of,
)

pytestmark = pytest.mark.django_db


def test_a_letter_is_sent_once_and_kept(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    send(claim_one())
    assert mail_server.recipients == ["ana@alderlane.example"]
    assert (anas().state, anas().sent_at) == (State.SENT, SEVEN_IN_LONDON)
    assert anas().text.startswith("Dear Ana Orchard,")


def test_every_move_leaves_a_step(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    send(claim_one())
    assert states_of(anas()) == [State.DUE, State.CLAIMED, State.HANDED_OVER, State.SENT]


def test_the_line_is_kept_over_several_letters(due: factories.Cast, mail_server: MailServer) -> None:
    plan()
    with deliveries.Post() as post:
        for delivery in deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10):
            deliveries.delivery_send(delivery, post=post, now=SEVEN_IN_LONDON)
            kept = post._backend.connection
            assert kept is not None
    assert len(mail_server.arrived) == 2


def test_a_letter_whose_claim_was_lost_is_not_sent(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    slow = claim_one()
    later = SEVEN_IN_LONDON + timedelta(hours=1)
    deliveries.deliveries_sweep(now=later)
    quick = claim_one(later)
    assert send(slow, later) == State.CLAIMED
    assert mail_server.arrived == []
    assert send(quick, later) == State.SENT


@pytest.mark.parametrize("answer", [HANG_UP, SILENCE])
def test_no_clear_answer_after_hand_over_is_a_doubt(
    due: factories.Cast, mail_server: MailServer, settings: Any, answer: str
) -> None:
    settings.EMAIL_TIMEOUT = 1
    only_ana(due)
    mail_server.answers = [answer]
    assert send(claim_one()) == State.DOUBTFUL
    assert (len(mail_server.arrived), anas().doubts) == (1, 1)


def test_a_clear_refusal_for_now_is_tried_again_after_a_pause(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    mail_server.answers = ["450 4.2.0 mailbox busy"]
    assert send(claim_one()) == State.DUE
    pause = anas().not_before - SEVEN_IN_LONDON
    assert timedelta(minutes=1.6) <= pause <= timedelta(minutes=2.4)
    assert anas().last_error == "450 4.2.0 mailbox busy"


def test_pauses_grow_to_two_hours_until_it_is_too_late(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    now, minutes = SEVEN_IN_LONDON, []
    mail_server.answers = ["450 4.2.0 mailbox busy"] * 60
    while send(claim_one(now), now) == State.DUE:
        minutes.append((anas().not_before - now) / timedelta(minutes=1))
        now = anas().not_before
    expected = [2, 10, 30] + [120] * (len(minutes) - 3)
    assert all(0.8 * middle <= pause <= 1.2 * middle for pause, middle in zip(minutes, expected, strict=True))
    assert len({round(pause, 3) for pause in minutes[3:]}) > 1, "pauses must differ"
    assert now - SEVEN_IN_LONDON > timedelta(hours=48)
    assert (anas().state, anas().last_error) == (State.MISSED, "more than 48 hours late")


@pytest.mark.parametrize("where", ["answers", "recipient_answers"])
def test_a_refusal_for_good_is_not_tried_again(
    due: factories.Cast, mail_server: MailServer, where: str
) -> None:
    only_ana(due)
    setattr(mail_server, where, ["550 5.1.1 no such mailbox"])
    assert send(claim_one()) == State.REFUSED
    assert anas().last_error == "550 5.1.1 no such mailbox"
    assert deliveries.deliveries_claim(now=SEVEN_IN_LONDON + timedelta(days=1), limit=1) == []


def test_a_refused_recipient_for_now_is_tried_again(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    mail_server.recipient_answers = ["451 4.7.1 greylisted"]
    assert send(claim_one()) == State.DUE


def test_a_server_that_cannot_be_reached_is_no_doubt(
    due: factories.Cast, mail_server: MailServer, settings: Any
) -> None:
    only_ana(due)
    settings.EMAIL_PORT = free_port()
    assert send(claim_one()) == State.DUE
    assert states_of(anas()) == [State.DUE, State.CLAIMED, State.HANDED_OVER, State.DUE]


def test_the_row_says_handed_over_before_any_line_is_opened(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    seen = []

    class WatchingPost(deliveries.Post):
        def ready(self) -> None:
            seen.append((self._backend.connection, anas().state))
            super().ready()

    with WatchingPost() as post:
        deliveries.delivery_send(claim_one(), post=post, now=SEVEN_IN_LONDON)
    assert seen == [(None, State.HANDED_OVER)]


@pytest.mark.parametrize("answer", ["421 4.3.2 shutting down", "550 5.7.1 not from you", "450 4.7.0 later"])
def test_a_server_that_will_not_have_our_sender_is_asked_again_later(
    due: factories.Cast, mail_server: MailServer, answer: str
) -> None:
    only_ana(due)
    mail_server.sender_answers = [answer]
    with deliveries.Post() as post:
        assert deliveries.delivery_send(claim_one(), post=post, now=SEVEN_IN_LONDON) == State.DUE
        assert post.in_trouble
    assert answer[:3] in anas().last_error


def test_a_letter_too_big_for_the_server_stops(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    mail_server.sender_answers = ["552 5.3.4 too big"]
    assert send(claim_one()) == State.REFUSED


@pytest.mark.parametrize("moment", ["greeting", "sender"])
def test_a_server_silent_before_the_letter_is_no_doubt(
    due: factories.Cast, mail_server: MailServer, settings: Any, moment: str
) -> None:
    settings.EMAIL_TIMEOUT = 1
    only_ana(due)
    mail_server.silent_at = {moment}
    assert send(claim_one()) == State.DUE
    assert (mail_server.arrived, anas().doubts) == ([], 0)


def test_nothing_is_said_to_the_server_after_the_lease(
    due: factories.Cast, mail_server: MailServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    only_ana(due)

    class LatePost(deliveries.Post):
        def ready(self) -> None:
            super().ready()
            self._ends = 0.0  # the process stood still meanwhile

    with LatePost() as post:
        assert deliveries.delivery_send(claim_one(), post=post, now=SEVEN_IN_LONDON) == State.DUE
    assert (mail_server.arrived, anas().doubts) == ([], 0)


def test_a_line_that_fell_between_two_letters_is_opened_again(
    due: factories.Cast, mail_server: MailServer
) -> None:
    plan()
    first, second = deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=2)
    with deliveries.Post() as post:
        deliveries.delivery_send(first, post=post, now=SEVEN_IN_LONDON)
        post._backend.connection.sock.close()
        assert deliveries.delivery_send(second, post=post, now=SEVEN_IN_LONDON) == State.SENT


def test_a_letter_that_cannot_be_written_does_not_stop_the_others(
    due: factories.Cast, mail_server: MailServer
) -> None:
    make_poison = factories.make_sowing(due.other_bed, season=2027)
    factories.make_job(make_poison, "nobody-knows", start_on=FRIDAY)
    plan()
    with deliveries.Post() as post:
        for delivery in deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10):
            deliveries.delivery_send(delivery, post=post, now=SEVEN_IN_LONDON)
    states = dict(Delivery.objects.values_list("member__name", "state"))
    assert states == {"Ana Orchard": State.SENT, "Ben Hurdle": State.SENT, "Col Furrow": State.REFUSED}
    assert "nobody-knows" in Delivery.objects.get(member=due.col).last_error


def test_a_reason_that_cannot_be_read_does_not_keep_a_letter_back(
    due: factories.Cast, mail_server: MailServer
) -> None:
    sowing = factories.make_sowing(due.other_bed, season=2027)
    factories.make_job(sowing, "necks", start_on=FRIDAY, rule="a rule that nobody knows")
    plan()
    with deliveries.Post() as post:
        for delivery in deliveries.deliveries_claim(now=SEVEN_IN_LONDON, limit=10):
            deliveries.delivery_send(delivery, post=post, now=SEVEN_IN_LONDON)
    sent = Delivery.objects.get(member=due.col)
    assert sent.state == State.SENT
    assert "Check the necks of" in sent.text
    assert "kept in an older form" in " ".join(sent.text.split())


def test_an_address_that_cannot_be_written_is_refused_before_hand_over(
    due: factories.Cast, mail_server: MailServer
) -> None:
    type(due.ana).objects.filter(pk=due.ana.pk).update(
        email="ana@alderlane.example\nBcc: x@alderlane.example"
    )
    only_ana(due)
    assert send(claim_one()) == State.REFUSED
    assert State.HANDED_OVER not in states_of(anas())
