"""The journal in sentences, and sending letters again."""

import re
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from schedules.deliveries.again import delivery_again
from schedules.journal_sentences import SENTENCES
from schedules.models import Delivery
from society.journal import journal_write
from society.models import JournalEntry
from tests import factories
from tests.schedules.committee.conftest import NOW, SINCE, TODAY, said

ROOT = Path(__file__).parents[3]


def noted(action, subject, row, account=None, **values):
    return journal_write(
        action=action, subject=subject, subject_id=str(row.pk), at=NOW, account=account, values=values
    )


def lines(page: str) -> list[str]:
    found = re.findall(r'<p class="entry-line">(.*?)</p>', page)
    return [re.sub(r"<[^>]+>", "", line) for line in found]


def test_codes_and_ids_are_read_as_names(cast, look):
    tenancy = cast.plot.tenancies.get()
    noted(
        "tenancy.begun", "plots.tenancy", tenancy, cast.dee_account,
        plot=cast.plot.pk, members=[cast.ana.pk, cast.ben.pk], since="2027-04-01",
    )  # fmt: skip

    assert lines(look("committee-journal")) == [
        "Dee Sexton let plot 7 to Ana Orchard and Ben Hurdle from 1 April 2027."
    ]


def test_who_was_erased_is_someone(cast, look):
    noted("member.changed", "society.member", cast.col, cast.col_account, fields=["email", "name"])
    cast.col_account.delete()
    cast.col.tenancies.all().delete()
    cast.col.delete()

    assert lines(look("committee-journal")) == [
        "Someone erased changed the e-mail address and the name of someone erased."
    ]


def test_what_nobody_did_was_done_by_the_server(cast, look):
    noted("sowing.changed", "plots.sowing", factories.make_sowing(cast.bed, season=2027), fields=["state"])

    assert lines(look("committee-journal")) == ["The server changed the state of Carrot, early on plot 7."]


def test_a_job_is_named_by_its_crop_and_plot(cast, look):
    job = factories.make_job(factories.make_sowing(cast.bed, season=2027), "thin", start_on=TODAY)
    journal_write(
        action="job.done", subject="schedules.job", subject_id=job.key, at=NOW, account=cast.ana_account,
        values={"on": "2027-04-12"},
    )  # fmt: skip

    assert lines(look("committee-journal")) == [
        "Ana Orchard recorded as done on 12 April 2027: thin, Carrot, early on plot 7."
    ]


def test_one_kind_can_be_read_alone(cast, look):
    noted("plot.created", "plots.plot", cast.plot)
    noted("member.added", "society.member", cast.ana)

    assert lines(look("committee-journal", kind="people")) == ["The server entered Ana Orchard in the book."]


def test_a_kind_that_is_none_is_not_found(cast, dee):
    assert dee.get(reverse("committee-journal"), {"kind": "gossip"}).status_code == 404


def test_an_action_without_a_sentence_is_still_told(cast, look):
    noted("plot.flooded", "plots.plot", cast.plot)

    assert lines(look("committee-journal")) == ["The server plot flooded: plot 7."]


@pytest.mark.parametrize("action", sorted(SENTENCES))
def test_every_sentence_can_be_read_whatever_was_noted(cast, look, action):
    noted(action, "plots.plot", cast.plot)

    assert len(lines(look("committee-journal"))) == 1


def test_every_action_noted_in_the_code_has_a_sentence():
    rooms = [path for room in ("society", "plots", "schedules") for path in (ROOT / room).rglob("*.py")]
    quiet = {"migrations", "management"}
    text = "\n".join(path.read_text(encoding="utf-8") for path in rooms if quiet.isdisjoint(path.parts))
    noted_there = set(re.findall(r'action="([a-z_]+[._][a-z_]+)"', text))
    noted_there |= set(re.findall(r'\bnote\(\s*\w+,\s*"([a-z_.]+)"', text))

    assert len(noted_there) > 25
    assert noted_there - set(SENTENCES) == set()


@pytest.mark.parametrize("count", [1, 50])
def test_the_journal_costs_the_same_for_one_and_for_fifty(cast, look, count):
    for number in range(count):
        plot = factories.make_plot(cast.site, f"A{number}", laid_out_on=SINCE)
        member = factories.make_member(cast.society, f"M {number}", joined_on=SINCE, email="")
        noted("waiting.added", "plots.plot", plot, cast.dee_account, member=member.pk, plot=plot.pk)

    with CaptureQueriesContext(connection) as queries:
        assert len(lines(look("committee-journal"))) == min(count, 40)

    # session, account, society, members, seat; count, entries, account links, accounts, plots, members;
    # the society in the frame
    assert len(queries) == 12


@pytest.mark.parametrize("state", ["refused", "held"])
def test_a_stopped_letter_is_sent_again(cast, send, state):
    letter = factories.make_delivery(cast.ana, local_date=SINCE, state=state, attempts=5, last_error="550 no")

    answer = send("letter-again", letter.key)

    letter.refresh_from_db()
    assert said(answer) == ["The letter is due again; it goes out within minutes."]
    assert (letter.state, letter.due_at, letter.attempts) == ("due", NOW, 0)
    assert letter.steps.last().note == "the committee sends it again"
    entry = JournalEntry.objects.get(action="letter.sent_again")
    assert (entry.account_id_then, entry.values["member"]) == (cast.dee_account.pk, cast.ana.pk)


@pytest.mark.parametrize("state", ["sent", "due", "claimed", "handed_over", "doubtful", "missed"])
def test_a_letter_that_does_not_wait_is_left_alone(cast, send, state):
    letter = factories.make_delivery(cast.ana, local_date=TODAY, state=state)

    answer = send("letter-again", letter.key)

    assert "so it does not wait to be sent again" in said(answer)[0]
    assert Delivery.objects.get(pk=letter.pk).state == state


def test_a_letter_is_sent_again_once(cast):
    letter = factories.make_delivery(cast.ana, local_date=TODAY, state="held")
    delivery_again(delivery=letter, account=None, now=NOW)

    with pytest.raises(Exception, match="does not wait"):
        delivery_again(delivery=letter, account=None, now=NOW)


def test_a_member_cannot_send_a_letter_again(cast, client):
    letter = factories.make_delivery(cast.ana, local_date=TODAY, state="held")
    client.force_login(cast.ana_account)

    assert client.post(reverse("letter-again", args=[letter.key])).status_code == 404
    assert Delivery.objects.get(pk=letter.pk).state == "held"


def test_letters_in_trouble_can_be_read_alone(cast, dee):
    factories.make_delivery(cast.ana, local_date=TODAY, state="held", title="Held one")
    factories.make_delivery(cast.ben, local_date=TODAY, state="sent", title="Sent one")

    page = dee.get(reverse("letters"), {"state": "trouble"}).content.decode()

    assert "Held one" in page
    assert "Send again" in page
    assert "Sent one" not in page
    assert dee.get(reverse("letters"), {"state": "lost"}).status_code == 404
