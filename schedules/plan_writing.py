"""Writing plans down as jobs. The planner decides; this module only keeps its answers."""

from datetime import datetime
from typing import Any

from plots.models import Sowing
from schedules.models import Job, Outlook
from schedules.planner import Job as PlannedJob
from schedules.planner import Plan, Reason, State, Window

_COLUMNS = [
    "kind", "stage", "start_on", "best_on", "by_on", "rule", "values", "source", "cautions", "notes",
]  # fmt: skip
_DATES = ("start_on", "best_on", "by_on")


def plans_write(plans: list[tuple[Sowing, Plan]], *, now: datetime) -> int:
    """Keep these answers: returns how many jobs are new or changed. The caller holds the site's lock."""
    sowings = [sowing.pk for sowing, _ in plans]
    present = {job.key: job for job in Job.objects.select_for_update().filter(sowing__in=sowings)}
    made, changed = [], []
    for sowing, answer in plans:
        for planned in answer.jobs:
            row = present.pop(planned.key, None)
            if row is None:
                made.append(_fill(Job(sowing=sowing, key=planned.key), planned, now))
            elif row.state == Job.State.OPEN and _differs(row, planned):
                changed.append(_fill(row, planned, now))
    for row in present.values():  # what the plan asks for no longer is kept, and shown no longer
        if row.is_asked and row.state == Job.State.OPEN:
            row.is_asked, row.worked_out_at, row.moves = False, now, row.moves + 1
            changed.append(row)
    Job.objects.bulk_create(made)
    Job.objects.bulk_update(
        changed, [*_COLUMNS, "state", "done_on", "is_asked", "moves", "worked_out_at"], batch_size=500
    )
    _write_outlooks(plans, now)
    return len(made) + len(changed)


def _write_outlooks(plans: list[tuple[Sowing, Plan]], now: datetime) -> None:
    rows = [
        Outlook(
            sowing=sowing,
            **_dates("sow", answer.sow),
            **_dates("shows", answer.emergence),
            warnings=[stored(warning) for warning in answer.warnings],
            notes=[stored(each) for each in answer.outlook],
            worked_out_at=now,
        )
        for sowing, answer in plans
    ]
    columns = [field.name for field in Outlook._meta.concrete_fields if field.name not in {"id", "sowing"}]
    Outlook.objects.bulk_create(
        rows, update_conflicts=True, unique_fields=["sowing"], update_fields=columns, batch_size=500
    )


def _dates(name: str, window: Window | None) -> dict[str, Any]:
    if window is None:
        return {f"{name}_from": None, f"{name}_best": None, f"{name}_by": None}
    return {f"{name}_from": window.start, f"{name}_best": window.best, f"{name}_by": window.by}


def stored(reason: Reason) -> dict[str, Any]:
    """A reason as it lies in the database and goes out through the API."""
    return {"rule": reason.rule, "values": dict(reason.values), "source": reason.source}


def _columns(planned: PlannedJob) -> dict[str, Any]:
    return {
        "kind": str(planned.kind),
        "stage": planned.stage,
        "start_on": planned.window.start,
        "best_on": planned.window.best,
        "by_on": planned.window.by,
        "rule": planned.reason.rule,
        "values": dict(planned.reason.values),
        "source": planned.reason.source,
        "cautions": list(planned.cautions),
        "notes": [stored(note) for note in planned.notes],
    }


def _differs(row: Job, planned: PlannedJob) -> bool:
    if row.is_asked != _is_asked(planned) or planned.state is State.DONE:
        return True
    return any(getattr(row, name) != value for name, value in _columns(planned).items())


def _is_asked(planned: PlannedJob) -> bool:
    """An open job that the planner itself calls overtaken is asked for no longer."""
    return planned.state is not State.NOT_NEEDED


def _fill(row: Job, planned: PlannedJob, now: datetime) -> Job:
    fresh = _columns(planned)
    if row.pk is not None and any(getattr(row, name) != fresh[name] for name in _DATES):
        row.moves += 1
    for name, value in fresh.items():
        setattr(row, name, value)
    if planned.state is State.DONE:  # the ground record knew it before any job did
        row.state, row.done_on = Job.State.DONE, planned.done_on
    row.is_asked, row.worked_out_at = _is_asked(planned), now
    return row
