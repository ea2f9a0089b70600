"""Reasons that stood in every job move to rows of their own, and back, without a word lost."""

from collections.abc import Iterator
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from plots.models import Sowing
from tests import factories as make

pytestmark = pytest.mark.django_db(transaction=True)
BEFORE = ("schedules", "0008_explanations")
REASON = ("rule", "values", "source", "cautions", "notes")
NOTE = {"rule": "thin_when_damp", "values": {}, "source": "common practice, no published source"}


@pytest.fixture
def old_jobs() -> Iterator[Any]:
    """Two sowings with jobs as they were kept before, and the models of that time."""
    cast = make.make_cast(since=date(2024, 1, 1))
    sowings = [make.make_sowing(cast.bed, season=2027) for _ in range(2)]
    old = migrated(BEFORE)
    try:
        for sowing in sowings:
            for name in ("thin", "weed"):
                old.get_model("schedules", "Job").objects.create(**old_job(sowing, name))
            old.get_model("schedules", "Outlook").objects.create(
                sowing_id=sowing.pk, warnings=[NOTE], notes=[], worked_out_at=make.instant(date(2027, 2, 1))
            )
        yield old
    finally:
        migrated(*MigrationExecutor(connection).loader.graph.leaf_nodes())


def old_job(sowing: Sowing, name: str) -> dict[str, Any]:
    day = date(2027, 4, 20)
    return {
        "sowing_id": sowing.pk, "key": f"{sowing.key}/{name}", "kind": name, "start_on": day, "best_on": day,
        "by_on": day, "rule": f"rule of {name}", "values": {"spacing_mm": 25.0}, "source": "a handbook",
        "cautions": ["sap"], "notes": [NOTE], "worked_out_at": make.instant(day),
    }  # fmt: skip


def migrated(*targets: tuple[str, str]) -> Any:
    executor = MigrationExecutor(connection)
    executor.migrate(list(targets))
    return MigrationExecutor(connection).loader.project_state(list(targets)).apps


def reasons(apps: Any) -> dict[str, tuple[Any, ...]]:
    return {
        job.key: tuple(getattr(getattr(job, "explanation", None) or job, name) for name in REASON)
        for job in apps.get_model("schedules", "Job").objects.all()
    }


def test_every_reason_moves_and_comes_back(old_jobs: Any) -> None:
    before = reasons(old_jobs)
    now = migrated(("schedules", "0013_no_keys_of_explanations"))
    assert reasons(now) == before
    assert now.get_model("schedules", "Explanation").objects.count() == 3  # two reasons and one outlook
    assert [each.explanation.warnings for each in now.get_model("schedules", "Outlook").objects.all()] == [
        [NOTE],
        [NOTE],
    ]
    back = migrated(BEFORE)
    assert reasons(back) == before
    assert [each.warnings for each in back.get_model("schedules", "Outlook").objects.all()] == [[NOTE]] * 2
