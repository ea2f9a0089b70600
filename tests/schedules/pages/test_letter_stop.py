"""Stopping a kind of letter from the letter: looking does nothing, one post does it, without log-in."""

import re
from datetime import UTC, datetime, timedelta

import pytest
from django.core.signing import Signer
from django.test import Client

from schedules import deliveries
from schedules.journal_reading import journal_lines, journal_of
from schedules.letter_stopping import SALT, WISHES, stop_headers, stop_link
from schedules.letter_wishes import wishes_of
from schedules.models import Delivery
from society.models import Absence, Member
from tests.factories import make_absence, make_delivery, make_job, make_sowing

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
TODAY = NOW.date()
HOUSE = "http://127.0.0.1:8000"


def link_of(kind, member, *, reader=None):
    return stop_link(kind=kind, member=member.pk, reader=(reader or member).pk).removeprefix(HOUSE)


def wishes(member):
    found = wishes_of(Member.objects.get(pk=member.pk))
    return {wish: getattr(found, wish) for wish in WISHES.values()}


@pytest.mark.parametrize("kind", WISHES)
def test_looking_stops_nothing_and_a_post_stops_that_kind_alone(cast, kind):
    link = link_of(kind, cast.ana)
    page = Client().get(link)
    assert "Nothing is stopped before you press the button" in page.content.decode()
    assert page.cookies == {}
    assert all(wishes(cast.ana).values())

    done = Client(enforce_csrf_checks=True).post(link)

    assert done.status_code == 200
    assert done.content.decode().count("Stopped: ") == 1
    assert wishes(cast.ana) == {wish: wish != WISHES[kind] for wish in WISHES.values()}


def test_a_mail_program_s_own_post_is_enough(cast):
    """RFC 8058 section 3.2: the body is List-Unsubscribe=One-Click, without cookie, log-in or redirect."""
    answer = Client(enforce_csrf_checks=True).post(
        link_of(Delivery.Kind.WEEKLY, cast.ana), {"List-Unsubscribe": "One-Click"}
    )
    assert answer.status_code == 200
    assert not wishes(cast.ana)["weekly"]


def test_stopping_twice_is_stopping_once(cast):
    for _ in range(2):
        assert Client().post(link_of(Delivery.Kind.WEEKLY, cast.ana)).status_code == 200
    (line,) = journal_lines(journal_of())
    assert (line.who, line.what) == ("Ana Orchard, by letter", "stopped the weekly letter to Ana Orchard")


def test_a_stand_in_stops_standing_in_and_not_the_other_s_letters(cast):
    make_absence(cast.ana, cast.col, since=TODAY, until=TODAY + timedelta(days=7), accepted_at=NOW)
    link = link_of(Delivery.Kind.WEEKLY, cast.ana, reader=cast.col)
    assert "Stop reading the letters of Ana Orchard" in Client().get(link).content.decode()

    Client().post(link)

    assert Absence.objects.get().ended_at == NOW
    assert wishes(cast.ana)["weekly"]
    assert wishes(cast.col)["weekly"]
    assert "go to Ana Orchard again" in Client().get(link).content.decode()


@pytest.mark.parametrize("kind", ["invitation", None])
def test_what_is_no_link_of_ours_stops_nothing(cast, kind):
    token = Signer(salt=SALT).sign_object([kind, cast.ana.pk, cast.ana.pk]) if kind else "nothing"
    assert Client().post(f"/letters/stop/{token}/").status_code == 404
    assert all(wishes(cast.ana).values())


def test_letters_that_come_by_themselves_carry_both_headers_and_answers_none(cast):
    """RFC 8058 section 3.1: one https URI at least, and this very pair. Here the house is plain http."""
    for kind in Delivery.Kind.values:
        headers = stop_headers(kind=kind, member=cast.ana.pk, reader=cast.ana.pk)
        if kind in WISHES:
            assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
            assert headers["List-Unsubscribe"].startswith(f"<{HOUSE}/letters/stop/")
            assert headers["List-Unsubscribe"].endswith("/>")
        else:
            assert headers == {}


def test_the_pair_in_a_letter_that_went_out_stops_it(cast, mail_server):
    """RFC 8058 section 3.1; the headers as a mail program takes them from the letter."""
    make_job(make_sowing(cast.bed, season=2027), start_on=TODAY)
    make_delivery(cast.ana, local_date=TODAY)
    make_absence(cast.ana, cast.col, since=TODAY, until=TODAY + timedelta(days=7), accepted_at=NOW)
    (claimed,) = deliveries.deliveries_claim(now=NOW, limit=1)
    with deliveries.Post() as post:
        deliveries.delivery_send(claimed, post=post, now=NOW)
    (letter,) = mail_server.arrived
    assert letter["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"

    address = letter["List-Unsubscribe"].strip().strip("<>").removeprefix(HOUSE)
    Client().post(address, {"List-Unsubscribe": "One-Click"})

    assert letter["To"] == cast.col.email
    assert Absence.objects.get().ended_at == NOW
    assert wishes(cast.ana)["weekly"]


def test_the_link_under_a_job_in_a_letter_that_went_out_records_it(cast, mail_server):
    job = make_job(make_sowing(cast.bed, season=2027), start_on=TODAY)
    make_delivery(cast.ana, local_date=TODAY)
    (claimed,) = deliveries.deliveries_claim(now=NOW, limit=1)
    with deliveries.Post() as post:
        deliveries.delivery_send(claimed, post=post, now=NOW)
    (letter,) = mail_server.arrived
    text = letter.get_body(("plain",)).get_content()
    (link,) = re.findall(rf"{HOUSE}(/jobs/by-letter/\S+)", text)
    assert link in letter.get_body(("html",)).get_content()

    answer = {"job": str(job.pk), "outcome": "not_needed", "version": "0"}
    assert Client().post(link, answer).status_code == 302

    job.refresh_from_db()
    assert job.state == "not_needed"
