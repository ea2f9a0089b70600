"""A nudge after the commit: welcome where there is a broker, and never the end of a save."""

import logging
import socket
from collections.abc import Iterator
from typing import Any

import pytest
import redis

from schedules import deliveries
from schedules.deliveries.nudging import nudge
from schedules.models import Delivery
from society.config import celery_app
from tests import factories
from tests.mail_server import free_port
from tests.schedules.deliveries.steps import SEVEN_IN_LONDON


@pytest.fixture
def broker_at(settings: Any, monkeypatch: pytest.MonkeyPatch) -> Any:
    """Have the house believe that its broker is at an address."""

    def at(url: str) -> None:
        settings.EMBEDDED = False
        monkeypatch.setitem(celery_app.conf, "broker_url", url)
        monkeypatch.setitem(celery_app.conf, "broker_write_url", url)
        monkeypatch.setitem(celery_app.conf, "task_always_eager", False)

    return at


@pytest.fixture
def mute() -> Iterator[int]:
    """A port that takes connections and never says a word."""
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        listener.listen(8)
        yield listener.getsockname()[1]


def order(cast: factories.Cast) -> Delivery:
    return deliveries.delivery_order(
        kind="notice", subject_key="stand-in-1-asked", member=cast.ana, now=SEVEN_IN_LONDON
    )


@pytest.mark.django_db
@pytest.mark.parametrize("state", ["away", "mute"])
def test_a_broker_that_does_not_answer_fails_no_save(
    cast: factories.Cast,
    broker_at: Any,
    mute: int,
    state: str,
    caplog: Any,
    django_capture_on_commit_callbacks: Any,
) -> None:
    broker_at(f"redis://127.0.0.1:{mute if state == 'mute' else free_port()}/0")
    with caplog.at_level(logging.ERROR), django_capture_on_commit_callbacks(execute=True) as callbacks:
        order(cast)
    assert len(callbacks) == 1
    assert Delivery.objects.get().state == Delivery.State.DUE
    assert "no worker could be nudged" in caplog.text


@pytest.mark.django_db
def test_a_letter_ordered_twice_nudges_once(
    cast: factories.Cast, django_capture_on_commit_callbacks: Any
) -> None:
    with django_capture_on_commit_callbacks() as callbacks:
        order(cast)
        order(cast)
    assert len(callbacks) == 1


@pytest.mark.django_db
def test_nothing_is_nudged_before_the_commit(
    cast: factories.Cast, broker_at: Any, caplog: Any, django_capture_on_commit_callbacks: Any
) -> None:
    broker_at(f"redis://127.0.0.1:{free_port()}/0")
    with django_capture_on_commit_callbacks(execute=False):
        order(cast)
    assert "nudged" not in caplog.text


def test_the_embedded_mode_asks_no_broker(settings: Any, caplog: Any) -> None:
    settings.EMBEDDED = True
    nudge()
    assert caplog.text == ""


@pytest.mark.redis
def test_a_nudge_lands_in_the_queue_of_letters(broker_at: Any, redis_url: str) -> None:
    broker_at(redis_url)
    nudge()
    line: Any = redis.Redis.from_url(redis_url)
    assert line.llen("letters") == 1
    line.close()
