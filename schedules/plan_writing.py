"""Writing plans down as jobs. The planner decides; this module only keeps its answers.

Reasons are kept once for all sowings that ask the same, so that a warm day rewrites some thousand
explanations and only the jobs whose dates it moved. A finished job keeps the reason it had: it points to a
row that is keyed by its own content, which no plan writes to.
"""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from itertools import chain
from typing import NamedTuple

from plots.models import Site
from schedules.bulk_rows import rows_insert, rows_update
from schedules.models import Explanation, Job, Outlook
from schedules.plan_selectors import JobRow
from schedules.planner.questions import KEPT, Answer, Line, Told, content_of, text_of

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

    ``present`` is what ``job_rows`` found under that lock. A job that somebody changes all the same between
    that and now is left as they made it.
    """
    pairs, idle = _paired(plans, present)
    # What a finished job would be told tonight is not kept: it has the reason it had.
    wanted = {line.told for _, _, line, _ in pairs} | {plan.answer.told for plan in plans}
    ids = _explanations_write(site, {key: told[key] for key in wanted}, now=now)
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


def reasons_keep(jobs: Iterable[Job]) -> None:
    """Let finished jobs keep the reasons they have now, whatever later plans say of their like."""
    for job in jobs:
        now_said = job.explanation
        if now_said.key.startswith(f"{KEPT}/"):
            continue
        said = tuple(
            each if isinstance(each, str) else text_of(each)
            for each in (getattr(now_said, name) for name in _SAID)
        )
        content = content_of(said)
        job.explanation, _ = Explanation.objects.get_or_create(
            site_id=now_said.site_id,
            key=f"{KEPT}/{content}",
            defaults={
                "content": content,
                "worked_out_at": now_said.worked_out_at,
                **{name: getattr(now_said, name) for name in _SAID},
            },
        )
        job.save(update_fields=["explanation"])


def explanations_sweep(site: Site) -> int:
    """Remove the explanations that nothing refers to; returns how many. The caller holds the site's lock."""
    # Right after a first planning the database knows nothing yet of a million new jobs, and would look each
    # explanation up among them one by one; two plain lists need no such guess.
    told = set(Explanation.objects.filter(site=site).values_list("pk", flat=True))
    for model in (Job, Outlook):
        told -= set(model.objects.order_by().values_list("explanation_id", flat=True).distinct())
    idle = Explanation.objects.filter(pk__in=sorted(told))
    return idle._raw_delete(idle.db) if told else 0  # nothing hangs on them


def _explanations_write(site: Site, told: Mapping[str, Told], *, now: datetime) -> dict[str, int]:
    """Bring explanations up to what was told; returns the id of each by its key."""
    stored = _stored(site, told)
    new = [each for each in told.values() if each.key not in stored]
    rows_insert(
        Explanation,
        ("site", "key", "content", *_SAID, "worked_out_at"),
        [(site.pk, *each, now) for each in new],
    )
    rows_update(
        Explanation,
        ("content", *_SAID, "worked_out_at"),
        [
            (stored[each.key][0], *each[1:], now)
            for each in told.values()
            if each.key in stored and stored[each.key][1] != each.content
        ],
    )
    if new:
        stored |= _stored(site, [each.key for each in new])
    return {key: found for key, (found, _) in stored.items()}


def _stored(site: Site, keys: Iterable[str]) -> dict[str, tuple[int, str]]:
    wanted = list(keys)
    rows = (
        Explanation.objects.filter(site=site, key__in=wanted[at : at + AT_ONCE]).values_list(
            "key", "pk", "content"
        )
        for at in range(0, len(wanted), AT_ONCE)
    )
    return {key: (found, content) for key, found, content in chain.from_iterable(rows)}


def _made(sowing: int, name: str, line: Line, told: int, now: datetime) -> tuple[object, ...]:
    state = Job.State.DONE if line.done_on else Job.State.OPEN
    return (
        sowing, f"{name}/{line.name}", line.kind, line.stage, line.start, line.best, line.by, told,
        str(state), line.done_on, line.is_asked, 0, now,
    )  # fmt: skip


def _differs(row: JobRow, line: Line, told: int) -> bool:
    """Whether an open job is to change; done is what the ground record knew before any job did."""
    return (
        row[3:6] != line[3:6] or row.told != told or row.is_asked != line.is_asked or line.done_on is not None
    )


def _changed(row: JobRow, line: Line, told: int, now: datetime) -> tuple[object, ...]:
    state = Job.State.DONE if line.done_on else Job.State.OPEN
    moves = row.moves + (row[3:6] != line[3:6])
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
