"""Work one site's plans out in this process and say how it went: ``python -m tests.bench.replan_once DATE``.

Prints JSON. The database is the one that the settings name.
"""

import json
import os
import resource
import sys
import time
from collections import Counter
from collections.abc import Callable
from contextlib import contextmanager
from datetime import date, datetime
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "society.config.settings")
django.setup()

from plots.models import Site  # noqa: E402
from schedules import plan_services, plan_writing  # noqa: E402
from society import clock  # noqa: E402
from society.zones import zone  # noqa: E402

SECONDS: Counter[str] = Counter()
COUNTS: Counter[str] = Counter()
STEPS = {
    "reading sowings": (plan_services, "sowings_wanted"),
    "reading jobs": (plan_services, "job_rows"),
    "family's ground": (plan_services, "tired_sowings"),
    "weather": (plan_services, "_weather"),
    "who is to be planned": (plan_services, "sowings_to_plan"),
    "unused explanations": (plan_services, "explanations_sweep"),
    "explanations": (plan_writing, "_explanations_write"),
    "outlooks": (plan_writing, "_outlooks_write"),
    "writing, in all": (plan_services, "plans_write"),
}


def timed(name: str, work: Callable[..., Any]) -> Callable[..., Any]:
    def run(*given: Any, **named: Any) -> Any:
        began = time.perf_counter()
        try:
            return work(*given, **named)
        finally:
            SECONDS[name] += time.perf_counter() - began

    return run


def watch() -> None:
    """Put a clock round each step, and count what is asked."""
    for name, (module, function) in STEPS.items():
        setattr(module, function, timed(name, getattr(module, function)))
    planners, insert, update = plan_services.planners, plan_writing.rows_insert, plan_writing.rows_update

    @contextmanager
    def watched(*given: Any, **named: Any) -> Any:
        with planners(*given, **named) as ask:

            def asking(asked: Any) -> Any:
                COUNTS["questions"] += len(asked)
                COUNTS["plans"] += sum(len(each.marks) for each in asked)
                return timed("waiting for plans", ask(asked))

            yield asking

    def inserting(model: Any, columns: Any, rows: Any) -> None:
        COUNTS[f"new {model.__name__}"] += len(rows)
        timed("  of it inserting", insert)(model, columns, rows)

    def updating(model: Any, columns: Any, rows: Any, **named: Any) -> int:
        COUNTS[f"changed {model.__name__}"] += len(rows)
        return timed("  of it updating", update)(model, columns, rows, **named)  # type: ignore[no-any-return]

    plan_services.planners = watched
    plan_writing.rows_insert, plan_writing.rows_update = inserting, updating


def main(day: str) -> None:
    site = Site.objects.get()
    now: datetime = clock.instant_of(date.fromisoformat(day), 3, zone(site.zone))
    watch()
    began = time.perf_counter()
    jobs = plan_services.site_replan(site=site, now=now)
    took = time.perf_counter() - began
    cpu_s = sum(
        used.ru_utime + used.ru_stime
        for used in map(resource.getrusage, (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    )
    print(json.dumps({"seconds": took, "jobs": jobs, "cpu_s": cpu_s, "steps": SECONDS, "counts": COUNTS}))


if __name__ == "__main__":
    main(sys.argv[1])
