"""Many letters read at once say what each would say alone, and no more than seconds old."""

from datetime import timedelta
from typing import Any

import pytest

from schedules import deliveries
from schedules.deliveries.reading_ahead import FRESH, ReadAhead
from schedules.models import Delivery
from tests import factories
from tests.mail_server import MailServer
from tests.schedules.deliveries.steps import FRIDAY, SEVEN_IN_LONDON, SINCE, State, anas, claim_one, plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def many(due: factories.Cast) -> factories.Cast:
    for number in range(6):
        member = factories.make_member(due.society, f"Member{number} Row", joined_on=SINCE)
        factories.make_co_worker(due.plot, member, since=SINCE)
    plan()
    return due


def send_all(ahead: ReadAhead | None, now: Any = SEVEN_IN_LONDON) -> None:
    with deliveries.Post() as post:
        while claimed := deliveries.deliveries_claim(now=now, limit=1):
            deliveries.delivery_send(claimed[0], post=post, now=now, ahead=ahead)


def test_letters_read_ahead_say_what_each_says_alone(many: factories.Cast, mail_server: MailServer) -> None:
    send_all(ReadAhead())
    ahead = dict(Delivery.objects.values_list("member", "text"))
    Delivery.objects.update(state=State.DUE, claim=None, attempts=0, text="", html="")
    send_all(None)
    assert dict(Delivery.objects.values_list("member", "text")) == ahead
    assert len(ahead) == 8


def test_fifty_letters_are_gathered_once(
    many: factories.Cast, mail_server: MailServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    from schedules.deliveries import reading_ahead

    calls: list[int] = []
    gather = reading_ahead.gather
    monkeypatch.setattr(
        reading_ahead, "gather", lambda people, **rest: calls.append(len(people)) or gather(people, **rest)
    )
    send_all(ReadAhead())
    assert calls == [8]


@pytest.mark.parametrize("change", ["left", "unwilling", "silent"])
def test_what_changed_of_a_member_since_counts(
    many: factories.Cast, mail_server: MailServer, change: str
) -> None:
    ahead, ana = ReadAhead(), many.ana
    Delivery.objects.filter(member=ana).update(not_before=SEVEN_IN_LONDON)
    Delivery.objects.exclude(member=ana).update(not_before=SEVEN_IN_LONDON - timedelta(seconds=1))
    first = claim_one()
    with deliveries.Post() as post:
        deliveries.delivery_send(first, post=post, now=SEVEN_IN_LONDON, ahead=ahead)
    if change == "left":
        type(ana).objects.filter(pk=ana.pk).update(left_on=FRIDAY)
    elif change == "silent":
        type(ana).objects.filter(pk=ana.pk).update(email="")
    else:
        factories.make_preference(ana, weekly=False)
    send_all(ahead)
    assert anas().state == State.MISSED
    assert "ana@alderlane.example" not in mail_server.recipients


def test_what_was_read_grows_old(many: factories.Cast, mail_server: MailServer) -> None:
    ahead = ReadAhead()
    first = claim_one()
    ahead.known_of(first, now=SEVEN_IN_LONDON)
    many.bed.patches.get().sowings.get().jobs.update(state="done", done_on=FRIDAY)
    send_all(ahead, SEVEN_IN_LONDON + FRESH)
    states = set(Delivery.objects.exclude(pk=first.pk).values_list("state", flat=True))
    assert (states, mail_server.arrived) == ({State.MISSED}, [])


def test_one_letter_that_cannot_be_read_costs_no_other(
    many: factories.Cast, mail_server: MailServer, caplog: Any
) -> None:
    poison = factories.make_sowing(many.other_bed, season=2027)
    factories.make_job(poison, "nobody-knows", start_on=FRIDAY)
    plan()
    send_all(ReadAhead())
    states = dict(Delivery.objects.values_list("member__name", "state"))
    assert states.pop("Col Furrow") == State.REFUSED
    assert set(states.values()) == {State.SENT}
