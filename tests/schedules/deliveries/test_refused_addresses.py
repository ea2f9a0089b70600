"""An address that mail servers refuse for good: twice in a row stops letters and shows on the member."""

from datetime import timedelta
from typing import Any

import pytest

from schedules import deliveries
from schedules.models import Delivery
from society import address_services, member_services
from society.models import JournalEntry
from tests import factories
from tests.mail_server import MailServer
from tests.schedules.deliveries.steps import FRIDAY, SEVEN_IN_LONDON, State, claim_one, only_ana, plan, send

pytestmark = pytest.mark.django_db
NOBODY = "550 5.1.1 no such mailbox"
WEEK = timedelta(days=7)


def letter_of(cast: factories.Cast, week: int) -> Delivery:
    day = FRIDAY + week * WEEK
    return factories.make_delivery(cast.ana, local_date=day, due_at=SEVEN_IN_LONDON + week * WEEK)


def send_week(cast: factories.Cast, week: int) -> str:
    letter_of(cast, week)
    now = SEVEN_IN_LONDON + week * WEEK
    return send(claim_one(now), now)


@pytest.fixture
def twice_refused(due: factories.Cast, mail_server: MailServer) -> factories.Cast:
    mail_server.recipient_answers = [NOBODY, NOBODY]
    assert [send_week(due, 0), send_week(due, 1)] == [State.REFUSED] * 2
    due.ana.refresh_from_db()
    return due


def test_one_refusal_is_only_counted(due: factories.Cast, mail_server: MailServer) -> None:
    mail_server.recipient_answers = [NOBODY]
    send_week(due, 0)
    due.ana.refresh_from_db()
    assert (due.ana.email_refusals, due.ana.email_refused_at) == (1, None)


def test_the_second_in_a_row_marks_the_member(twice_refused: factories.Cast) -> None:
    ana = twice_refused.ana
    assert (ana.email_refusals, ana.email_refused_at) == (2, SEVEN_IN_LONDON + WEEK)
    assert ana.email_refused_why == NOBODY
    assert JournalEntry.objects.get(action="address.refused").values == {"member": ana.pk}


def test_a_marked_address_gets_no_weekly_letter_planned_or_sent(
    twice_refused: factories.Cast, mail_server: MailServer
) -> None:
    plan(SEVEN_IN_LONDON + 2 * WEEK)
    assert not Delivery.objects.filter(member=twice_refused.ana, local_date=FRIDAY + 2 * WEEK).exists()
    assert send_week(twice_refused, 3) == State.MISSED
    assert mail_server.arrived == []


def test_what_somebody_asks_for_goes_to_a_marked_address_all_the_same(
    twice_refused: factories.Cast, mail_server: MailServer
) -> None:
    now = SEVEN_IN_LONDON + 2 * WEEK
    account = twice_refused.ana_account
    deliveries.delivery_order(
        kind="account", subject_key="changed", account=account, address=account.email, title="Changed",
        text="Your password was changed.", html="<p>Your password was changed.</p>", now=now,
    )  # fmt: skip
    assert send(claim_one(now), now) == State.SENT


def test_a_letter_that_goes_through_forgives_one_refusal(
    due: factories.Cast, mail_server: MailServer
) -> None:
    mail_server.recipient_answers = [NOBODY]
    assert [send_week(due, 0), send_week(due, 1)] == [State.REFUSED, State.SENT]
    due.ana.refresh_from_db()
    assert due.ana.email_refusals == 0


@pytest.mark.parametrize(
    "answer",
    [
        "550 5.7.1 relaying denied",
        "552 5.2.2 mailbox full",
        "554 5.6.0 your letter is odd",
        "550 5.1.0 address rejected",
        "554 relay access denied",
    ],
)
def test_a_refusal_that_is_not_of_the_address_is_not_counted(
    due: factories.Cast, mail_server: MailServer, answer: str
) -> None:
    """RFC 3463: 5.2.1 speaks of a mailbox shut down; 5.2.2, 5.6 and 5.7 do not, 5.1.0 may be of either."""
    mail_server.recipient_answers = [answer]
    assert send_week(due, 0) == State.REFUSED
    due.ana.refresh_from_db()
    assert due.ana.email_refusals == 0


@pytest.mark.parametrize(
    "answer", ["550 5.1.8 bad outbound sender", "553 5.1.7 bad sender", "530 5.7.0 log in first"]
)
@pytest.mark.parametrize("said_after", ["recipient_answers", "answers"])
def test_a_refusal_of_our_sender_is_nobodys_and_the_letter_waits(
    due: factories.Cast, mail_server: MailServer, answer: str, said_after: str
) -> None:
    """RFC 3463, section 3.2: 5.1.7 and 5.1.8 are of the sender; RFC 4954: 530 asks for a log-in."""
    setattr(mail_server, said_after, [answer])
    assert send_week(due, 0) == State.DUE
    due.ana.refresh_from_db()
    assert due.ana.email_refusals == 0


def test_a_refusal_without_an_enhanced_code_counts_at_the_recipient_only(
    due: factories.Cast, mail_server: MailServer
) -> None:
    mail_server.answers = ["554 no"]
    send_week(due, 0)
    mail_server.recipient_answers = ["550 who is that"]
    send_week(due, 1)
    due.ana.refresh_from_db()
    assert due.ana.email_refusals == 1


def test_couples_with_one_address_are_marked_together(due: factories.Cast, mail_server: MailServer) -> None:
    type(due.ben).objects.filter(pk=due.ben.pk).update(email="Ana@alderlane.example")
    mail_server.recipient_answers = [NOBODY, NOBODY]
    send_week(due, 0)
    send_week(due, 1)
    due.ben.refresh_from_db()
    assert due.ben.email_refused_at is not None


def test_the_committee_marks_and_clears(due: factories.Cast, mail_server: MailServer) -> None:
    by: dict[str, Any] = {"account": due.dee_account, "now": SEVEN_IN_LONDON}
    marked = address_services.address_mark_refused(member=due.ana, why="a letter came back", **by)
    assert (marked.email_refused_why, marked.email_refusals) == ("a letter came back", 2)
    only_ana_missed = only_ana_is_planned(due)
    cleared = address_services.address_clear(member=marked, **by)
    assert (cleared.email_refused_at, cleared.email_refusals, cleared.email_refused_why) == (None, 0, "")
    assert (only_ana_missed, send_week(due, 0)) == (False, State.SENT)


def only_ana_is_planned(cast: factories.Cast) -> bool:
    plan()
    found = Delivery.objects.filter(member=cast.ana).exists()
    Delivery.objects.all().delete()
    return found


def test_a_new_address_is_clear(twice_refused: factories.Cast) -> None:
    changed = member_services.member_change(
        member=twice_refused.ana,
        version=None,
        account=None,
        now=SEVEN_IN_LONDON,
        email="new@alderlane.example",
    )
    assert (changed.email_refused_at, changed.email_refusals) == (None, 0)


def test_a_member_without_an_address_cannot_be_marked(due: factories.Cast) -> None:
    type(due.ana).objects.filter(pk=due.ana.pk).update(email="")
    marked = address_services.address_mark_refused(member=due.ana, why="x", account=None, now=SEVEN_IN_LONDON)
    assert marked.email_refused_at is None


def test_only_the_letter_at_hand_is_stopped_by_a_mark(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    address_services.address_mark_refused(member=due.ana, why="x", account=None, now=SEVEN_IN_LONDON)
    assert send(claim_one()) == State.MISSED


def test_a_stand_in_whose_address_is_refused_leaves_the_letter_with_its_member(
    due: factories.Cast, mail_server: MailServer
) -> None:
    days = {"since": FRIDAY, "until": FRIDAY + WEEK, "accepted_at": SEVEN_IN_LONDON - WEEK}
    factories.make_absence(due.ana, due.col, **days)
    address_services.address_mark_refused(member=due.col, why=NOBODY, account=None, now=SEVEN_IN_LONDON)
    assert send_week(due, 0) == State.SENT
    assert mail_server.recipients == [due.ana.email]
