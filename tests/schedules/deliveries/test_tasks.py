"""The doors that beat knocks on: each may run twice, and says when it came to its end."""

from typing import Any

import pytest
import time_machine
from django.conf import settings as project

from plots.models import GroundVerdict
from schedules import tasks
from schedules.models import Delivery, Job, Sweep
from society.config import celery_app
from tests import factories
from tests.mail_server import MailServer
from tests.schedules.deliveries.steps import SEVEN_IN_LONDON, State

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("at_seven")]


@pytest.fixture
def at_seven() -> Any:
    with time_machine.travel(SEVEN_IN_LONDON, tick=False):
        yield


def states() -> set[str]:
    return set(Delivery.objects.values_list("state", flat=True))


def test_every_entry_of_the_schedule_names_a_task_that_exists() -> None:
    celery_app.loader.import_default_modules()
    named = {entry["task"] for entry in project.CELERY_BEAT_SCHEDULE.values()}
    assert named <= set(celery_app.tasks)


def test_planning_and_sending_twice_sends_each_letter_once(
    due: factories.Cast, mail_server: MailServer
) -> None:
    for _ in range(2):
        tasks.deliveries_plan()
        tasks.deliveries_send()
    assert sorted(mail_server.recipients) == ["ana@alderlane.example", "ben@alderlane.example"]


TASKS = ["deliveries_plan", "deliveries_send", "plans_refresh", "grounds_check", "forecasts_refresh"]


@pytest.mark.parametrize("name", TASKS)
def test_a_task_writes_down_when_it_came_to_its_end(name: str) -> None:
    for _ in range(2):
        getattr(tasks, name)()
    assert Sweep.objects.get(name=name).finished_at == SEVEN_IN_LONDON


def test_plans_are_worked_out_from_the_ground(cast: factories.Cast) -> None:
    factories.make_sowing(cast.bed, season=2027)
    tasks.plans_refresh()
    assert Job.objects.filter(kind="sow").exists()


def test_ground_is_judged_by_night(cast: factories.Cast) -> None:
    sowing = factories.make_sowing(cast.bed, season=2027)
    tasks.grounds_check()
    assert GroundVerdict.objects.get(sowing=sowing).level == "sound"


def test_a_run_that_has_no_time_leaves_everything_due(
    due: factories.Cast, mail_server: MailServer, settings: Any
) -> None:
    tasks.deliveries_plan()
    settings.LETTERS_RUN_SECONDS = 0
    tasks.deliveries_send()
    assert (states(), mail_server.arrived) == ({State.DUE}, [])


def test_a_sender_first_picks_up_what_dead_workers_left(due: factories.Cast, mail_server: MailServer) -> None:
    tasks.deliveries_plan()
    Delivery.objects.update(state=State.CLAIMED, lease_until=factories.instant(SEVEN_IN_LONDON.date(), 5))
    tasks.deliveries_send()
    assert (states(), len(mail_server.arrived)) == ({State.SENT}, 2)
