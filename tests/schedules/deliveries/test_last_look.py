"""What may have changed since a letter fell due."""

from datetime import datetime, timedelta
from typing import Any

import pytest

from schedules.weekly_letters import weekly_letter
from society.models import Absence
from tests import factories
from tests.mail_server import MailServer
from tests.schedules.deliveries.steps import (
    FRIDAY,
    SEVEN_IN_LONDON,
    SINCE,
    State,
    anas,
    claim_one,
    only_ana,
    send,
)

pytestmark = pytest.mark.django_db


def nothing_goes(cast: factories.Cast, server: MailServer, now: datetime = SEVEN_IN_LONDON) -> str:
    assert send(claim_one(now), now) == State.MISSED
    assert server.arrived == []
    return anas().last_error


def test_who_left_since_planning_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    type(due.ana).objects.filter(pk=due.ana.pk).update(left_on=FRIDAY)
    assert "has left" in nothing_goes(due, mail_server)


def test_who_died_since_planning_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    type(due.ana).objects.filter(pk=due.ana.pk).update(died_on=FRIDAY)
    assert "has left" in nothing_goes(due, mail_server)


def test_who_no_longer_wants_letters_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    factories.make_preference(due.ana, weekly=False)
    assert "no longer wants" in nothing_goes(due, mail_server)


def test_who_gave_the_plot_up_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    due.plot.tenancies.update(until=FRIDAY)
    assert "no plot" in nothing_goes(due, mail_server)


def test_a_job_done_since_planning_is_no_reason_for_a_letter(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    due.bed.patches.get().sowings.get().jobs.update(state="done", done_on=FRIDAY)
    assert "nothing is due" in nothing_goes(due, mail_server)


def test_a_letter_more_than_48_hours_late_is_missed(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    assert "48 hours" in nothing_goes(due, mail_server, SEVEN_IN_LONDON + timedelta(hours=49))


def test_while_a_member_is_away_the_stand_in_gets_the_letter(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    away(due, accepted_at=factories.instant(SINCE))
    send(claim_one())
    assert mail_server.recipients == ["col@alderlane.example"]
    assert str(mail_server.arrived[0]["Subject"]).startswith("For Ana Orchard: ")


def test_a_stand_in_who_has_not_accepted_gets_nothing(due: factories.Cast, mail_server: MailServer) -> None:
    only_ana(due)
    away(due)
    send(claim_one())
    assert mail_server.recipients == ["ana@alderlane.example"]


def away(cast: factories.Cast, **fields: Any) -> Absence:
    return Absence.objects.create(
        member=cast.ana, stand_in=cast.col, since=FRIDAY, until=FRIDAY + timedelta(days=9), **fields
    )


def test_a_kind_of_letter_that_nobody_writes_is_refused(due: factories.Cast, mail_server: MailServer) -> None:
    factories.make_delivery(due.ana, local_date=FRIDAY, kind="notice", due_at=SEVEN_IN_LONDON)
    assert send(claim_one()) == State.REFUSED


def test_letters_go_out_with_the_titles_that_the_page_shows(
    due: factories.Cast, mail_server: MailServer
) -> None:
    only_ana(due)
    send(claim_one())
    written = weekly_letter(member=due.ana, reader=due.ana, today=FRIDAY)
    assert str(mail_server.arrived[0]["Subject"]) == written.title
