"""Writing plans down as jobs. The planner decides; this module only keeps its answers.

What is said of a job lies once for all jobs of the site that say the same, and never changes: a warm day
writes some new explanations, and touches only the jobs that it moved or that are explained anew. A finished
job is not touched, and keeps the reason it had.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime
from itertools import chain
from typing import NamedTuple

from plots.models import Site
from schedules.bulk_rows import rows_insert, rows_update
from schedules.models import Explanation, Job, Outlook
from schedules.plan_selectors import JobRow
from schedules.planner.questions import Answer, Line, Told

AT_ONCE = 5000
_SAID = ("rule", "values", "source", "cautions", "notes", "warnings")
_LINE = ("start_on", "best_on", "by_on", "explanation", "state", "done_on", "is_asked")
_OVERALL = ("sow_from", "sow_best", "sow_by", "shows_from", "shows_best", "shows_by", "explanation")


class Planned(NamedTuple):
    """One sowing's answer; ``name`` is the sowing's own key."""

    sowing: int
    name: str
    answer: Answer


def plans_write(
    site: Site,
    plans: Sequence[Planned],
    told: Mapping[str, Told],
    present: Mapping[int, Sequence[JobRow]],
    *,
    now: datetime,
) -> int:
    """Keep these answers: returns how many jobs are new or changed. The caller holds the site's lock.

    ``present`` is what ``job_rows`` found. A job that somebody changed between that and now is left as they
    made it.
    """
    pairs, idle = _paired(plans, present)
    # What a finished job would be told tonight is not kept.
    wanted = dict.fromkeys(line.told for _, _, line, _ in pairs)
    wanted |= dict.fromkeys(plan.answer.told for plan in plans)
    ids = _explanations_write(site, {content: told[content] for content in wanted}, now=now)
    made = [
        _made(sowing, name, line, ids[line.told], now) for sowing, name, line, row in pairs if row is None
    ]
    changed = [
        _changed(row, line, ids[line.told], now)
        for _, _, line, row in pairs
        if row is not None and _differs(row, line, ids[line.told])
    ]
    changed += [_hidden(row, now) for row in idle]
    rows_insert(Job, ("sowing", "key", "kind", "stage", *_LINE, "moves", "worked_out_at"), made)
    rows_update(Job, (*_LINE, "moves", "worked_out_at"), changed, where=("id", "moves"))
    _outlooks_write(plans, ids, now=now)
    return len(made) + len(changed)


def _paired(
    plans: Sequence[Planned], present: Mapping[int, Sequence[JobRow]]
) -> tuple[list[tuple[int, str, Line, JobRow | None]], list[JobRow]]:
    """Return each line beside its open row, or None for a new job; and the open rows no plan asks for."""
    pairs: list[tuple[int, str, Line, JobRow | None]] = []
    idle: list[JobRow] = []
    for sowing, name, answer in plans:
        old = {row.name: row for row in present.get(sowing, ())}
        for line in answer.lines:
            row = old.pop(line.name, None)
            if row is None or row.state == Job.State.OPEN:
                pairs.append((sowing, name, line, row))
        # What the plan asks for no longer is kept, and shown no longer.
        idle += [row for row in old.values() if row.is_asked and row.state == Job.State.OPEN]
    return pairs, idle


def explanations_sweep(site: Site) -> int:
    """Remove the explanations that nothing refers to; returns how many. The caller holds the site's lock."""
    # Right after a first planning the database knows nothing yet of a million new jobs, and would look each
    # explanation up among them one by one; two plain lists need no such guess.
    told = set(Explanation.objects.filter(site=site).values_list("pk", flat=True))
    for model in (Job, Outlook):
        told -= set(model.objects.order_by().values_list("explanation_id", flat=True).distinct())
    idle = sorted(told)
    for at in range(0, len(idle), AT_ONCE):
        rows = Explanation.objects.filter(pk__in=idle[at : at + AT_ONCE])
        rows._raw_delete(rows.db)  # nothing hangs on them
    return len(idle)


def _explanations_write(site: Site, told: Mapping[str, Told], *, now: datetime) -> dict[str, int]:
    """Keep what is said for the first time; returns the id of each explanation by its content."""
    stored = _stored(site, list(told))
    new = [content for content in told if content not in stored]
    if new:
        rows_insert(
            Explanation,
            ("site", "content", *_SAID, "worked_out_at"),
            [(site.pk, *told[content], now) for content in new],
        )
        stored |= _stored(site, new)
    return stored


def _stored(site: Site, contents: Sequence[str]) -> dict[str, int]:
    rows = (
        Explanation.objects.filter(site=site, content__in=contents[at : at + AT_ONCE])
        for at in range(0, len(contents), AT_ONCE)
    )
    return dict(chain.from_iterable(each.values_list("content", "pk") for each in rows))


def _made(sowing: int, name: str, line: Line, told: int, now: datetime) -> tuple[object, ...]:
    state = Job.State.DONE if line.done_on else Job.State.OPEN
    return (
        sowing, f"{name}/{line.name}", line.kind, line.stage, line.start, line.best, line.by, told,
        str(state), line.done_on, line.is_asked, 0, now,
    )  # fmt: skip


def _differs(row: JobRow, line: Line, told: int) -> bool:
    """Whether an open job is to change; done is what the ground record knew before any job did.

    What was asked for no longer and still is not is of no concern to anybody.
    """
    return (row.is_asked or line.is_asked) and (
        row[3:6] != line[3:6] or row.told != told or row.is_asked != line.is_asked or line.done_on is not None
    )


def _changed(row: JobRow, line: Line, told: int, now: datetime) -> tuple[object, ...]:
    state = Job.State.DONE if line.done_on else Job.State.OPEN
    # A job that comes back on its old dates is a change to a calendar that shows it as called off.
    moves = row.moves + (row[3:6] != line[3:6] or row.is_asked != line.is_asked)
    return (
        row.id, row.moves, line.start, line.best, line.by, told, str(state), line.done_on, line.is_asked,
        moves, now,
    )  # fmt: skip


def _hidden(row: JobRow, now: datetime) -> tuple[object, ...]:
    return (
        row.id, row.moves, row.start, row.best, row.by, row.told, row.state, None, False, row.moves + 1, now,
    )  # fmt: skip


def _outlooks_write(plans: Sequence[Planned], ids: Mapping[str, int], *, now: datetime) -> None:
    rows = Outlook.objects.filter(sowing__in=[plan.sowing for plan in plans])
    present = {row[0]: row[1:] for row in rows.values_list("sowing_id", *_OVERALL)}
    made, changed = [], []
    for sowing, _, answer in plans:
        fresh = (*answer.sow, *answer.shows, ids[answer.told])
        if sowing not in present:
            made.append((sowing, *fresh, now))
        elif present[sowing] != fresh:
            changed.append((sowing, *fresh, now))
    rows_insert(Outlook, ("sowing", *_OVERALL, "worked_out_at"), made)
    rows_update(Outlook, (*_OVERALL, "worked_out_at"), changed, where=("sowing",))
