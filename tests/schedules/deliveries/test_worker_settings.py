"""How workers must be set up for a letter never to hang on one of them."""

from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as project
from redis.exceptions import ConnectionError as NoConnection

from schedules import deliveries
from society.config import celery_app

ROOT = Path(__file__).resolve().parents[3]
FORBIDDEN = ("eta=", "countdown=", "crontab(")


@pytest.fixture
def conf() -> Any:
    celery_app.loader.import_default_modules()
    return celery_app.conf


def test_a_message_is_given_back_when_its_worker_dies(conf: Any) -> None:
    assert conf.task_acks_late
    assert conf.task_reject_on_worker_lost
    assert conf.worker_prefetch_multiplier == 1


def test_no_results_are_kept(conf: Any) -> None:
    assert conf.task_ignore_result
    assert not conf.result_backend


def test_workers_begin_afresh_now_and_then(conf: Any) -> None:
    assert conf.worker_max_tasks_per_child
    assert conf.worker_max_memory_per_child


def test_letters_and_planning_have_queues_of_their_own(conf: Any) -> None:
    queues = {
        name: conf.task_routes.get(name, {}).get("queue", conf.task_default_queue)
        for name in celery_app.tasks
        if name.startswith("schedules.")
    }
    letters = {name for name, queue in queues.items() if queue == "letters"}
    assert letters == {"schedules.tasks.deliveries_plan", "schedules.tasks.deliveries_send"}
    assert set(queues.values()) == {"letters", "planning"}


def test_everything_that_bounds_a_letter_is_longer_than_what_it_bounds(conf: Any) -> None:
    """A run with its last letter, which may wait for the server once; stop, soft and hard limit, lease."""
    last_letter = project.LETTERS_RUN_SECONDS + project.EMAIL_TIMEOUT
    bounds = [last_letter, conf.worker_soft_shutdown_timeout, conf.task_soft_time_limit, conf.task_time_limit]
    assert bounds == sorted(set(bounds))
    assert conf.task_time_limit < project.LEASE_SECONDS


def test_redis_hands_no_task_out_again_while_it_may_still_run(conf: Any) -> None:
    longest = max(task.time_limit or conf.task_time_limit for task in celery_app.tasks.values())
    assert longest < conf.broker_transport_options["visibility_timeout"]


def test_a_lease_must_be_above_the_mail_timeout(settings: Any) -> None:
    settings.LEASE_SECONDS = settings.EMAIL_TIMEOUT + 1
    assert deliveries.lease().total_seconds() == settings.EMAIL_TIMEOUT + 1


@pytest.mark.redis
def test_a_channel_may_be_closed_after_its_connection(redis_url: str) -> None:
    """Kombu raises AttributeError there, which ends a worker that is finding back to its broker."""
    line = celery_app.connection_for_read(redis_url)
    channel = line.channel()
    line.transport.client = None
    channel._disconnect_pools()
    with pytest.raises(NoConnection, match="given up already"):
        channel._create_client().ping()
    line.transport.client = line
    channel.close()
    line.release()


@pytest.mark.parametrize("word", FORBIDDEN)
def test_nothing_is_asked_for_at_a_time_to_come(word: str) -> None:
    """A message held back until later is lost at a stop and multiplied by the visibility timeout."""
    rooms = [path for room in ("society", "plots", "schedules") for path in (ROOT / room).rglob("*.py")]
    assert len(rooms) > 100
    assert [str(path) for path in rooms if word in path.read_text(encoding="utf-8")] == []
