"""Whether the server can do its work."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import DatabaseError
from django.test import Client

from schedules import health
from schedules.health import readiness, sweep_limits_s
from schedules.models import Sweep
from tests.factories import make_delivery
from tests.schedules.pages.conftest import TODAY

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
OLD_PROCESS_S = 3600


def sweep_all(*, at: datetime = NOW) -> None:
    Sweep.objects.bulk_create(Sweep(name=name, finished_at=at) for name in sweep_limits_s())


def found(*, process_age_s: float = OLD_PROCESS_S) -> health.Readiness:
    return readiness(now=NOW, process_age_s=process_age_s)


def test_with_fresh_sweeps_the_server_is_ready(db):
    sweep_all()

    assert found().state == "ready"


def test_a_sweep_that_never_ended_is_named(db):
    sweep_all()
    Sweep.objects.filter(name="deliveries_send").delete()

    assert found().not_ready == ("deliveries_send: has never finished",)


def test_a_late_sweep_is_named_with_its_age(db):
    sweep_all()
    Sweep.objects.filter(name="deliveries_plan").update(finished_at=NOW - timedelta(seconds=601))

    assert found().not_ready == ("deliveries_plan: last finished 601 s ago, limit 600 s",)


def test_a_limit_is_ten_sweeps_and_never_under_ten_minutes(settings):
    settings.SWEEP_SECONDS, settings.REPLAN_SECONDS = 5, 3600

    assert sweep_limits_s() == {
        "deliveries_plan": 600,
        "deliveries_send": 600,
        "plans_refresh": 36_000,
    }


def test_a_process_that_just_began_is_starting_and_counts_as_ready(db):
    answer = found(process_age_s=30)

    assert (answer.state, answer.is_ready) == ("starting", True)
    assert "plans_refresh: has never finished" in answer.not_ready


def test_a_letter_that_waits_too_long_is_named(cast):
    sweep_all()
    make_delivery(cast.ana, local_date=TODAY, due_at=NOW - timedelta(seconds=700))

    assert found().not_ready == ("oldest_due_letter: waiting for 700 s, limit 600 s",)


def test_a_letter_whose_next_try_lies_ahead_does_not_count_as_waiting(cast):
    sweep_all()
    make_delivery(
        cast.ana,
        local_date=TODAY,
        due_at=NOW - timedelta(seconds=700),
        not_before=NOW + timedelta(seconds=60),
    )

    assert found().state == "ready"


def test_missing_migrations_are_named(db, monkeypatch):
    monkeypatch.setattr(health, "_migrations_missing", lambda: True)

    assert found().not_ready == ("migrations: not all applied; run migrate",)


def test_a_database_that_is_away_is_named(monkeypatch):
    def away() -> bool:
        raise DatabaseError("host db-7.internal refused")

    monkeypatch.setattr(health, "_migrations_missing", away)

    answer = found(process_age_s=1)

    assert (answer.state, answer.not_ready) == ("not ready", ("database: cannot be read",))


@pytest.mark.parametrize(("age_s", "status"), [(0, 200), (OLD_PROCESS_S, 503)])
def test_the_answer_is_503_once_the_start_is_over(db, monkeypatch, age_s, status):
    monkeypatch.setattr(health, "PROCESS_BEGAN", health.time.monotonic() - age_s)

    answer = Client().get("/readyz")

    assert answer.status_code == status
    assert answer.json()["not_ready"]
    assert answer["Cache-Control"] == "no-store"
