"""A morning in April at the allotments, with the whole cast on the ground."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime

import pytest
import time_machine
from django.test import Client

from society.models import Account
from tests.factories import Cast, make_cast

TODAY = date(2027, 4, 12)  # a Monday
SINCE = date(2020, 1, 1)


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    with time_machine.travel(datetime(2027, 4, 12, 8, tzinfo=UTC), tick=False):
        yield


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=SINCE)


@pytest.fixture
def as_account() -> Callable[[Account], Client]:
    def logged_in(account: Account) -> Client:
        client = Client()
        client.force_login(account)
        return client

    return logged_in
