"""A morning in April at the committee's desk: Dee is logged in."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from tests.factories import Cast, make_cast

TODAY = date(2027, 4, 12)  # a Monday
SINCE = date(2020, 1, 1)
NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)


@pytest.fixture(autouse=True)
def april() -> Iterator[None]:
    with time_machine.travel(NOW, tick=False):
        yield


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast(since=SINCE)


@pytest.fixture
def dee(cast: Cast) -> Client:
    client = Client()
    client.force_login(cast.dee_account)
    return client


@pytest.fixture
def look(dee: Client) -> Callable[..., str]:
    """The text of a page of the book."""

    def page(name: str, /, *args: Any, **query: Any) -> str:
        answer = dee.get(reverse(name, args=args), query)
        assert answer.status_code == 200
        return answer.content.decode()

    return page


@pytest.fixture
def send(dee: Client) -> Callable[..., Any]:
    """Send a form of the book; the answer after any redirect."""

    def post(name: str, /, *args: Any, **data: Any) -> Any:
        return dee.post(reverse(name, args=args), data, follow=True)

    return post


def said(answer: Any) -> list[str]:
    """What a page says was done."""
    return [str(message) for message in answer.context["messages"]]
