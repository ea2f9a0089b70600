"""Pairing as the browser and the committee see it, by HTTP."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from schedules.api_limits import Asking, Fetching
from schedules.models import Screen
from schedules.pairing_services import CODE_LIVES, screen_pair_for_demo
from schedules.screens import screen_make
from society.models import JournalEntry
from tests.factories import make_site

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
ASK, FETCH = "/api/v1/screen/pairings/", "/api/v1/screen/pairings/token/"


@pytest.fixture(autouse=True)
def nobody_has_asked_yet():
    cache.clear()


@pytest.fixture
def dee(cast, as_account) -> Client:
    return as_account(cast.dee_account)


def asked(**extra) -> dict:
    answer = Client(**extra).post(ASK)
    assert answer.status_code == 201
    assert answer["Cache-Control"] == "no-store"
    return answer.json()


def fetched(secret: str):
    return Client().post(FETCH, headers={"authorization": f"Bearer {secret}"})


def test_a_browser_is_told_its_code_and_its_secret(cast):
    told = asked()

    assert set(told) == {"code", "secret", "expires_at", "lives_s", "poll_after_s"}
    assert (told["expires_at"], told["lives_s"]) == ("2027-04-12T08:10:00Z", 600)


def test_from_code_to_week(cast, dee):
    told = asked()
    assert fetched(told["secret"]).json() == {"state": "waiting"}

    page = dee.post(reverse("screens"), {"code": told["code"].lower(), "name": "Gate"}, follow=True)
    paired = fetched(told["secret"]).json()
    week = Client().get(reverse("noticeboard"), headers={"authorization": f"Bearer {paired['token']}"})

    assert "Paired: Gate shows the week of Alder Lane" in page.content.decode()
    assert (paired["state"], paired["name"]) == ("paired", "Gate")
    assert week.status_code == 200


def test_the_second_fetch_is_gone(cast, dee):
    told = asked()
    dee.post(reverse("screens"), {"code": told["code"], "name": "Gate"})
    fetched(told["secret"])

    again = fetched(told["secret"])

    assert (again.status_code, again["Content-Type"]) == (410, "application/problem+json")
    assert "token" not in again.json()


def test_a_code_that_nobody_typed_runs_out_quietly(cast):
    told = asked()

    with time_machine.travel(NOW + CODE_LIVES, tick=False):
        assert fetched(told["secret"]).json() == {"state": "over"}


@pytest.mark.parametrize("word", [None, "crp_guess", "two words"])
def test_without_the_secret_nothing_is_fetched(cast, word):
    headers = {"authorization": f"Bearer {word}"} if word else {}

    answer = Client().post(FETCH, headers=headers)

    assert (answer.status_code, answer["Content-Type"]) == (401, "application/problem+json")
    assert answer["WWW-Authenticate"] == 'Bearer realm="pairing"'


def test_the_code_itself_fetches_nothing(cast, dee):
    told = asked()
    dee.post(reverse("screens"), {"code": told["code"], "name": "Gate"})

    assert fetched(told["code"]).status_code == 401


@pytest.mark.parametrize(("limit", "address"), [(Asking, ASK), (Fetching, FETCH)])
def test_asking_without_end_is_told_to_wait(cast, monkeypatch, limit, address):
    monkeypatch.setattr(limit, "rate", "2/minute")
    secret = asked(REMOTE_ADDR="192.0.2.77")["secret"]
    client = Client(headers={"authorization": f"Bearer {secret}"})

    answers = [client.post(address) for _ in range(3)]

    assert [answer.status_code for answer in answers][2] == 429
    assert int(answers[2]["Retry-After"]) >= 1
    assert answers[2]["Content-Type"] == "application/problem+json"


def test_the_demos_screen_goes_to_a_browser_on_the_same_machine_only(cast):
    cast.society.is_invented = True
    cast.society.save()
    cast.site.refresh_from_db()
    screen_pair_for_demo(site=cast.site, name="Gate", now=NOW)

    far, near = asked(REMOTE_ADDR="192.0.2.1"), asked(REMOTE_ADDR="127.0.0.1")

    assert fetched(far["secret"]).json() == {"state": "waiting"}
    assert fetched(near["secret"]).json()["state"] == "paired"


@pytest.mark.parametrize(
    ("code", "says"),
    [
        ("", "write the six letters and digits"),
        ("KX74Q", "a code has 6 letters and digits"),
        ("KX74QO", "no vowels and no 0, 1, 2, 5 or 8"),
        ("KX74QM", "no screen waits with this code"),
    ],
)
def test_a_wrong_code_is_named_and_what_was_typed_stays(cast, dee, code, says):
    page = dee.post(reverse("screens"), {"code": code, "name": "By the <shed>"})

    assert page.status_code == 422
    assert says in page.content.decode()
    assert 'value="By the &lt;shed&gt;"' in page.content.decode()


def test_a_code_that_ran_out_is_refused_like_one_that_never_was(cast, dee):
    code = asked()["code"]

    with time_machine.travel(NOW + CODE_LIVES, tick=False):
        page = dee.post(reverse("screens"), {"code": code, "name": "Gate"})

    assert "no screen waits with this code" in page.content.decode()
    assert not Screen.objects.exists()


def test_codes_cannot_be_guessed_without_end(cast, dee):
    told = asked()
    for _ in range(10):
        dee.post(reverse("screens"), {"code": "KX74QM", "name": "Gate"})

    page = dee.post(reverse("screens"), {"code": told["code"], "name": "Gate"})

    assert page.status_code == 429
    assert "Too many codes were tried" in page.content.decode()
    assert not Screen.objects.exists()


def test_with_several_sites_the_site_is_chosen(cast, dee):
    mill = make_site(cast.society, name="Mill Field")
    told = asked()

    refused = dee.post(reverse("screens"), {"code": told["code"], "name": "Gate"})
    dee.post(reverse("screens"), {"code": told["code"], "name": "Gate", "site": mill.pk})

    assert "choose the site" in refused.content.decode()
    assert Screen.objects.get().site == mill


@pytest.mark.parametrize(
    ("ago", "says"),
    [
        (None, "has not asked yet"),
        (timedelta(seconds=90), "last asked just now"),
        (timedelta(minutes=40), "last asked 40 minutes ago"),
        (timedelta(hours=3), "last asked today, 06:00"),
        (timedelta(hours=20), "last asked yesterday, 13:00"),
        (timedelta(days=9), "last asked on 3 April, 09:00"),
    ],
)
def test_the_list_says_in_words_when_a_screen_last_asked(cast, dee, ago, says):
    screen_make(site=cast.site, name="Gate", now=NOW)
    Screen.objects.update(last_seen_at=None if ago is None else NOW - ago)

    page = dee.get(reverse("screens")).content.decode()

    assert says in page
    assert "1 screen shows the week" in page


def test_turning_a_screen_off_takes_it_from_the_list_and_stands_in_the_journal(cast, dee):
    screen, token = screen_make(site=cast.site, name="Gate", now=NOW)

    page = dee.post(reverse("screen-revoke", args=[screen.pk]), follow=True).content.decode()
    week = Client().get(reverse("noticeboard"), headers={"authorization": f"Bearer {token}"})

    assert "No screen shows the week yet" in page
    assert week.status_code == 401
    assert JournalEntry.objects.get(action="screen.revoke").account_id_then == cast.dee_account.pk


def test_a_grower_cannot_pair(cast, as_account):
    told = asked()

    answer = as_account(cast.ana_account).post(reverse("screens"), {"code": told["code"], "name": "Mine"})

    assert answer.status_code == 404
    assert fetched(told["secret"]).json() == {"state": "waiting"}
