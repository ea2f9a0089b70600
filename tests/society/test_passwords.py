"""Forgotten and changed passwords."""

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from schedules.models import Delivery
from society.models import JournalEntry
from tests.factories import PASSWORD, Cast, make_cast
from tests.letters_out import link_in, send_what_is_due

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
NEW = "three-words-of-barrow-soil"
ANA, NOBODY = "ana@alderlane.example", "nobody@alderlane.example"


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(NOW, tick=False):
        yield
    cache.clear()


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=date(2020, 1, 1), normals=False)


def ask(email: str, client: Client | None = None):
    return (client or Client()).post(reverse("account_reset_password"), {"email": email}, follow=True)


def open_link(link: str, client: Client) -> str:
    """Follow the letter's link to the form; returns the form's own address."""
    return client.get(link).url


def choose(client: Client, form_url: str, password: str = NEW):
    return client.post(form_url, {"password1": password, "password2": password})


def can_log_in(password: str) -> bool:
    answer = Client().post(reverse("account_login"), {"login": ANA, "password": password})
    return answer.status_code == 302


def test_the_answer_tells_nobody_who_exists(cast):
    known, unknown = ask(ANA), ask(NOBODY)

    assert known.status_code == unknown.status_code == 200
    assert known.redirect_chain == unknown.redirect_chain
    assert known.content == unknown.content


def test_an_unknown_address_costs_the_same_work(cast):
    work = {}
    for email in (ANA, NOBODY):
        with CaptureQueriesContext(connection) as queries:
            Client().post(reverse("account_reset_password"), {"email": email})
        work[email] = Counter(query["sql"].split()[0] for query in queries)

    assert work[ANA]["INSERT"] == work[NOBODY]["INSERT"] == 2
    assert abs(work[ANA]["SELECT"] - work[NOBODY]["SELECT"]) <= 1


def test_an_unknown_address_gets_no_letter(cast):
    ask(NOBODY)

    assert Delivery.objects.count() == 0


def test_a_closed_account_gets_no_letter(cast):
    cast.ana_account.is_active = False
    cast.ana_account.save()

    ask(ANA)

    assert Delivery.objects.count() == 0


def test_the_letter_leads_to_a_new_password(cast):
    client = Client()
    ask(ANA)
    (letter,) = send_what_is_due(NOW)

    answer = choose(client, open_link(link_in(letter), client))

    assert letter.to == [ANA]
    assert (answer.status_code, answer.url) == (302, reverse("account_login"))
    assert can_log_in(NEW)
    assert not can_log_in(PASSWORD)


def test_opening_the_link_changes_nothing(cast):
    ask(ANA)
    (letter,) = send_what_is_due(NOW)

    Client().get(link_in(letter))

    assert can_log_in(PASSWORD)


def test_the_link_works_once(cast):
    client = Client()
    ask(ANA)
    link = link_in(*send_what_is_due(NOW))
    choose(client, open_link(link, client))

    assert Client().get(link).status_code == 410


def test_the_link_works_for_an_hour(cast):
    ask(ANA)
    link = link_in(*send_what_is_due(NOW))

    with time_machine.travel(NOW + timedelta(minutes=61), tick=False):
        assert Client().get(link).status_code == 410


def test_no_row_keeps_the_link(cast):
    ask(ANA)
    (letter,) = send_what_is_due(NOW)

    kept = Delivery.objects.get()
    assert link_in(letter) in letter.alternatives[0][0]
    assert link_in(letter) not in kept.text + kept.html
    assert "this link is not kept here" in kept.text


def test_a_letter_that_was_held_up_too_long_stays(cast):
    ask(ANA)

    assert send_what_is_due(NOW + timedelta(hours=2)) == []
    assert Delivery.objects.get().state == "missed"


def test_the_same_question_twice_in_a_minute_is_one_letter(cast):
    ask(ANA)
    ask(ANA)

    assert Delivery.objects.count() == 1


def test_too_many_questions_are_asked_to_wait(cast):
    answers = [ask(ANA).status_code for _ in range(6)]

    assert answers == [200] * 5 + [429]


def test_a_changed_password_ends_the_sessions_elsewhere(cast):
    here, elsewhere = Client(), Client()
    for client in (here, elsewhere):
        client.force_login(cast.ana_account)

    answer = here.post(
        reverse("account_change_password"), {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW}
    )

    assert answer.url == reverse("account")
    assert here.get("/").status_code == 200
    assert elsewhere.get("/").status_code == 302


def test_a_changed_password_is_told_and_noted(cast):
    client = Client()
    client.force_login(cast.ana_account)
    client.post(
        reverse("account_change_password"), {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW}
    )

    (letter,) = send_what_is_due(NOW)
    entry = JournalEntry.objects.get(action="password_changed")
    assert letter.subject == "The password of your log-in was changed"
    assert entry.account_id_then == cast.ana_account.pk


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"oldpassword": "wrong"}, "This is not your password. Enter the one you use now."),
        ({"password1": "short", "password2": "short"}, "at least 12 characters"),
        ({"password2": "something-else-entirely"}, "You must type the same password each time."),
        ({"oldpassword": ""}, "Enter the password you use now."),
    ],
)
def test_a_bad_change_says_what_to_do(cast, fields, words):
    client = Client()
    client.force_login(cast.ana_account)
    sent = {"oldpassword": PASSWORD, "password1": NEW, "password2": NEW, **fields}

    answer = client.post(reverse("account_change_password"), sent)

    assert words in answer.content.decode()
    assert can_log_in(PASSWORD)


def test_the_committee_sees_no_letters_about_log_ins(cast):
    ask(ANA)
    client = Client()
    client.force_login(cast.dee_account)

    page = client.get(reverse("letters")).content.decode()
    letter = client.get(reverse("letter", args=[Delivery.objects.get().key]))

    assert "log-in" not in page.replace("/log-in/", "")
    assert letter.status_code == 404
