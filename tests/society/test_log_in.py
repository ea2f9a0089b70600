"""Coming in and going out."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from tests.factories import PASSWORD, Cast, make_cast

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(NOW, tick=False):
        yield
    cache.clear()


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=date(2020, 1, 1), normals=False)


def log_in(email: str, password: str = PASSWORD, *, client: Client | None = None, **fields):
    address = fields.pop("address", "192.0.2.1")
    return (client or Client()).post(
        reverse("account_login"), {"login": email, "password": password, **fields}, REMOTE_ADDR=address
    )


def test_an_account_gets_in_with_its_address_in_any_letters(cast):
    answer = log_in("ANA@AlderLane.example")

    assert (answer.status_code, answer.url) == (302, "/")


@pytest.mark.parametrize("email", ["ana@alderlane.example", "nobody@alderlane.example"])
def test_a_refusal_tells_nobody_who_exists(cast, email):
    answer = log_in(email, "wrong")

    known = log_in("ana@alderlane.example", "wrong").content.decode()
    page = answer.content.decode().replace(email, "ana@alderlane.example")
    assert answer.status_code == 200
    assert page.count("do not belong together") == 1
    assert len(page) == len(known)


def test_a_closed_account_is_refused_in_the_same_words(cast):
    cast.ana_account.is_active = False
    cast.ana_account.save()

    assert "do not belong together" in log_in("ana@alderlane.example").content.decode()


def test_the_session_is_a_new_one_after_log_in(cast):
    client = Client()
    client.get(reverse("account_login"))
    client.session["planted"] = True
    client.session.save()
    planted = client.session.session_key

    log_in("ana@alderlane.example", client=client)

    assert client.session.session_key != planted


def test_nobody_is_sent_to_a_foreign_address(cast):
    assert log_in("ana@alderlane.example", next="https://elsewhere.example/").url == "/"


def test_going_out_ends_the_session(cast):
    client = Client()
    client.force_login(cast.ana_account)

    client.post(reverse("account_logout"))

    assert client.get("/").status_code == 302


def test_a_link_cannot_log_anybody_out(cast):
    client = Client()
    client.force_login(cast.ana_account)

    assert client.get(reverse("account_logout")).status_code == 405
    assert client.get("/").status_code == 200


def test_a_secure_log_out_empties_the_browser(cast):
    client = Client()
    client.force_login(cast.ana_account)

    answer = client.post(reverse("account_logout"), secure=True)

    assert answer["Clear-Site-Data"] == '"cache", "storage"'


def test_too_many_tries_are_asked_to_wait(cast):
    for _ in range(5):
        log_in("ana@alderlane.example", "wrong")
    log_in("ana@alderlane.example", "wrong")

    answer = log_in("ana@alderlane.example", "wrong")

    assert answer.status_code == 429
    assert int(answer["Retry-After"]) > 0
    assert "There were too many tries. Wait" in answer.content.decode()


@pytest.mark.parametrize("email", ["ana@alderlane.example", "nobody@alderlane.example"])
def test_the_wait_comes_at_the_same_try_whether_or_not_the_account_exists(cast, email):
    assert [log_in(email, "wrong").status_code for _ in range(7)] == [200] * 5 + [429] * 2


def test_after_the_wait_the_right_password_opens(cast):
    for _ in range(7):
        last = log_in("ana@alderlane.example", "wrong")

    with time_machine.travel(NOW + timedelta(seconds=int(last["Retry-After"]) + 1), tick=False):
        assert log_in("ana@alderlane.example").status_code == 302


def test_pages_of_an_account_are_kept_by_no_cache(cast):
    client = Client()
    client.force_login(cast.ana_account)

    assert client.get("/")["Cache-Control"] == "no-store"


def test_every_page_comes_with_a_policy_that_allows_nothing_foreign(cast):
    policy = Client().get(reverse("account_login"))["Content-Security-Policy"]

    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy


@pytest.mark.parametrize(("path", "status"), [("/nothing/", 404), ("/log-out/", 405)])
def test_an_address_that_is_none_gets_a_page_of_the_house(db, path, status):
    answer = Client().get(path)

    assert answer.status_code == status


def test_a_missing_page_speaks_in_the_voice_of_the_house(db):
    assert "Nothing stands at this address" in Client().get("/nothing/").content.decode()


def test_the_process_is_alive_without_any_database():
    answer = Client().get("/healthz")

    assert (answer.status_code, answer.content) == (200, b"ok\n")


def test_a_probe_with_a_cookie_asks_no_database_either():
    client = Client()
    client.cookies["sessionid"] = "abc"

    assert client.get("/healthz").status_code == 200
