"""The addresses that an account logs in with."""

from collections.abc import Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from allauth.account.models import EmailAddress
from django.core.cache import cache
from django.test import Client
from django.urls import reverse

from tests.factories import PASSWORD, Cast, make_cast
from tests.letters_out import link_in, send_what_is_due

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
OTHER = "ana.orchard@home.example"


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    cache.clear()
    with time_machine.travel(NOW, tick=False):
        yield
    cache.clear()


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=date(2020, 1, 1), normals=False)


def sure_client(cast: Cast) -> Client:
    """Ana, who has just entered her password once more."""
    client = Client()
    client.force_login(cast.ana_account)
    client.post(reverse("account_reauthenticate"), {"password": PASSWORD})
    return client


def add(client: Client, email: str = OTHER):
    return client.post(reverse("account_email"), {"action_add": "", "email": email}, follow=True)


def test_the_password_is_asked_for_before_an_address_is_added(cast):
    client = Client()
    client.force_login(cast.ana_account)

    answer = add(client)

    assert "Enter your password once more" in answer.content.decode()
    assert not EmailAddress.objects.filter(email=OTHER).exists()


def test_the_password_finishes_what_was_asked(cast):
    client = Client()
    client.force_login(cast.ana_account)
    question = add(client)

    client.post(question.redirect_chain[-1][0], {"password": PASSWORD})

    assert EmailAddress.objects.filter(user=cast.ana_account, email=OTHER).exists()


def test_an_address_is_confirmed_by_the_letter_and_its_button(cast):
    client = sure_client(cast)
    add(client)
    (letter,) = send_what_is_due(NOW)
    link = link_in(letter)

    client.get(link)
    looked = EmailAddress.objects.get(email=OTHER).verified
    client.post(link)

    assert letter.to == [OTHER]
    assert not looked
    assert EmailAddress.objects.get(email=OTHER).verified


def test_a_confirmed_address_logs_in(cast):
    EmailAddress.objects.create(user=cast.ana_account, email=OTHER, verified=True)

    answer = Client().post(reverse("account_login"), {"login": OTHER, "password": PASSWORD})

    assert answer.status_code == 302


def test_a_used_link_is_gone(cast):
    client = sure_client(cast)
    add(client)
    link = link_in(*send_what_is_due(NOW))
    client.post(link)

    assert client.get(link).status_code == 410


@pytest.mark.parametrize("email", ["col@alderlane.example", "stranger@alderlane.example"])
def test_adding_tells_nobody_who_exists(cast, email):
    client = sure_client(cast)

    page = add(client, email).content.decode()

    assert f"A letter is on its way to {email}" in page


def test_somebody_elses_address_cannot_be_confirmed(cast):
    EmailAddress.objects.create(user=cast.col_account, email=cast.col_account.email, verified=True)
    client = sure_client(cast)
    add(client, cast.col_account.email)

    answer = client.get(link_in(*send_what_is_due(NOW)))

    assert answer.status_code == 410


def test_the_first_address_stays(cast):
    client = sure_client(cast)
    EmailAddress.objects.create(
        user=cast.ana_account, email=cast.ana_account.email, verified=True, primary=True
    )

    answer = client.post(
        reverse("account_email"), {"action_remove": "", "email": cast.ana_account.email}, follow=True
    )

    assert "is the first address and stays" in answer.content.decode()
