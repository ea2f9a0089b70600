"""Letters kept in the house: all of them, or those older than a backup that was put back."""

from datetime import timedelta
from io import StringIO

import pytest
import time_machine
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from schedules import deliveries
from schedules.deliveries.holding import mail_room
from schedules.health import readiness
from schedules.models import Delivery
from society.models import JournalEntry
from tests import factories
from tests.mail_server import MailServer
from tests.schedules.deliveries.steps import (
    SEVEN_IN_LONDON,
    State,
    anas,
    claim_one,
    dies_after_hand_over,
    only_ana,
    plan,
    send,
    states_of,
)

pytestmark = pytest.mark.django_db
LATER = SEVEN_IN_LONDON + timedelta(hours=1)


def claimable(now=LATER) -> int:
    return len(deliveries.deliveries_claim(now=now, limit=50))


def hold_older(before=LATER) -> int:
    return deliveries.letters_hold_older(before=before, account=None, now=LATER)


def test_while_the_mail_room_is_closed_nothing_is_claimed(due: factories.Cast) -> None:
    plan()
    deliveries.letters_close(why="the address book is wrong", account=due.dee_account, now=LATER)
    assert claimable() == 0
    assert mail_room().closed_why == "the address book is wrong"
    assert set(Delivery.objects.values_list("state", flat=True)) == {State.DUE}


def test_when_it_opens_again_everything_goes(due: factories.Cast) -> None:
    plan()
    deliveries.letters_close(why="", account=due.dee_account, now=LATER)
    deliveries.letters_open(account=due.dee_account, now=LATER)
    assert claimable() == 2
    assert list(JournalEntry.objects.order_by("pk").values_list("action", flat=True))[-2:] == [
        "letters.closed",
        "letters.opened",
    ]


def test_letters_that_wait_for_an_open_room_are_no_alarm(due: factories.Cast) -> None:
    plan()
    assert "oldest_due_letter" in " ".join(readiness(now=LATER, process_age_s=3600).not_ready)
    deliveries.letters_close(why="", account=None, now=LATER)
    assert "oldest_due_letter" not in " ".join(readiness(now=LATER, process_age_s=3600).not_ready)


def test_after_a_restore_what_was_due_before_is_held(due: factories.Cast) -> None:
    only_ana(due)
    assert hold_older() == 1
    assert anas().state == State.HELD
    assert claimable() == 0


@pytest.mark.parametrize("found", ["claimed", "handed over"])
def test_what_a_backup_caught_in_hand_is_held_too(
    due: factories.Cast, mail_server: MailServer, found: str
) -> None:
    only_ana(due)
    delivery = claim_one()
    if found == "handed over":
        dies_after_hand_over(delivery, SEVEN_IN_LONDON)
    hold_older()
    deliveries.deliveries_sweep(now=LATER + timedelta(hours=1))
    assert (anas().state, claimable(LATER + timedelta(hours=2))) == (State.HELD, 0)


def test_a_letter_that_was_sent_before_the_backup_stays_sent(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    send(claim_one())
    assert hold_older() == 0
    assert anas().state == State.SENT


def test_a_letter_whose_row_the_backup_never_had_is_held_as_well(
    due: factories.Cast, mail_server: MailServer
) -> None:
    hold_older()
    assert plan(LATER) == 2  # planned again, because the backup knew nothing of it
    assert claimable() == 0  # even before the sweep has seen it
    deliveries.deliveries_sweep(now=LATER)
    assert set(Delivery.objects.values_list("state", flat=True)) == {State.HELD}
    assert states_of(anas()) == [State.DUE, State.HELD]


def test_a_letter_that_falls_due_afterwards_goes_out(due: factories.Cast) -> None:
    hold_older(SEVEN_IN_LONDON - timedelta(seconds=1))
    plan()
    assert claimable() == 2


def test_the_committee_lets_held_letters_go(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    hold_older()
    assert deliveries.letters_release_older(account=due.dee_account, now=LATER) == 1
    assert send(claim_one(LATER), LATER) == State.SENT


def test_what_was_held_for_another_reason_is_not_let_go(due: factories.Cast) -> None:
    only_ana(due)
    Delivery.objects.update(state=State.HELD, last_error="in doubt twice")
    assert deliveries.letters_release_older(account=None, now=LATER) == 0
    assert anas().state == State.HELD


def test_an_instant_to_come_is_refused(due: factories.Cast) -> None:
    with pytest.raises(ValidationError, match="still to come"):
        hold_older(LATER + timedelta(seconds=1))


def said(*words: str) -> str:
    out = StringIO()
    with time_machine.travel(LATER, tick=False):
        call_command("letters_hold", *words, stdout=out)
    return out.getvalue()


def test_the_command_holds_and_releases(due: factories.Cast) -> None:
    only_ana(due)
    assert said("older").startswith("1 letter is held")
    assert said("release").startswith("1 letter is due again")
    assert "No letter leaves" in said("all", "--why", "moving house")
    assert claimable() == 0
    assert "Letters go out again" in said("none")
    assert claimable() == 1


def test_the_command_takes_an_instant(due: factories.Cast) -> None:
    only_ana(due)
    assert said("older", "--before", "2027-04-09T05:59:59+00:00").startswith("0 letters are held")
    with pytest.raises(CommandError, match="--before"):
        said("older", "--before", "yesterday")
