"""Whether the server can do its work: /readyz.

Sweeps and due letters may be late while a process has just begun: for its first ten minutes the answer
is 'starting', which counts as ready, because pages work and a server that was switched off for the
night has every right to be behind. After that, what is late is named and the answer is 503.
"""

import time
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Min
from django.http import HttpRequest, JsonResponse
from django.views.decorators.http import require_safe

from schedules.deliveries.holding import free_to_go
from schedules.models import Delivery, Sweep
from society import clock

STARTING_S = 600
LEAST_LIMIT_S = 600
SWEEPS_MISSED = 10
PROCESS_BEGAN = time.monotonic()


def sweep_limits_s() -> dict[str, int]:
    """How old the last end of each piece of periodic work may be."""
    sweep = max(LEAST_LIMIT_S, SWEEPS_MISSED * settings.SWEEP_SECONDS)
    replan = max(LEAST_LIMIT_S, SWEEPS_MISSED * settings.REPLAN_SECONDS)
    return {"deliveries_plan": sweep, "deliveries_send": sweep, "plans_refresh": replan}


@dataclass(frozen=True, slots=True)
class Readiness:
    state: str
    not_ready: tuple[str, ...]
    ages_s: dict[str, int | None]

    @property
    def is_ready(self) -> bool:
        return self.state != "not ready"


def readiness(*, now: datetime, process_age_s: float) -> Readiness:
    try:
        if _migrations_missing():
            return Readiness("not ready", ("migrations: not all applied; run migrate",), {})
        ages = {**_sweep_ages_s(now), "oldest_due_letter": _oldest_due_s(now)}
    except DatabaseError:
        return Readiness("not ready", ("database: cannot be read",), {})
    late = tuple(_late(ages))
    if not late:
        return Readiness("ready", (), ages)
    if process_age_s < STARTING_S:
        return Readiness("starting", late, ages)
    return Readiness("not ready", late, ages)


def _late(ages_s: dict[str, int | None]) -> list[str]:
    late = []
    for name, limit_s in sweep_limits_s().items():
        age_s = ages_s[name]
        if age_s is None:
            late.append(f"{name}: has never finished")
        elif age_s > limit_s:
            late.append(f"{name}: last finished {age_s} s ago, limit {limit_s} s")
    waiting_s, limit_s = ages_s["oldest_due_letter"], sweep_limits_s()["deliveries_send"]
    if waiting_s is not None and waiting_s > limit_s:
        late.append(f"oldest_due_letter: waiting for {waiting_s} s, limit {limit_s} s")
    return late


def _migrations_missing() -> bool:
    executor = MigrationExecutor(connection)
    return bool(executor.migration_plan(executor.loader.graph.leaf_nodes()))


def _sweep_ages_s(now: datetime) -> dict[str, int | None]:
    ended = dict(Sweep.objects.values_list("name", "finished_at"))
    return {name: _age_s(ended.get(name), now) for name in sweep_limits_s()}


def _oldest_due_s(now: datetime) -> int | None:
    due = free_to_go(Delivery.objects.filter(state=Delivery.State.DUE, not_before__lte=now))
    return _age_s(due.aggregate(oldest=Min("not_before"))["oldest"], now)


def _age_s(instant: datetime | None, now: datetime) -> int | None:
    return None if instant is None else max(0, round((now - instant).total_seconds()))


@require_safe
def readyz(request: HttpRequest) -> JsonResponse:
    """No versions and no host names: anybody may ask."""
    found = readiness(now=clock.now(), process_age_s=time.monotonic() - PROCESS_BEGAN)
    body: dict[str, Any] = {"state": found.state, "not_ready": found.not_ready, "ages_s": found.ages_s}
    return JsonResponse(body, status=200 if found.is_ready else 503, headers={"Cache-Control": "no-store"})
