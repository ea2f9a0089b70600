"""Reading what the planner needs of the ground: open sowings, and what was recorded of their jobs."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import NamedTuple

from django.db.models import Count, Exists, OuterRef, Q, QuerySet, Sum

from plots.models import Site, Sowing
from schedules.models import Job
from schedules.planner import Outcome, State
from schedules.planner.questions import Marks

AT_ONCE = 5000


class Wanted(NamedTuple):
    """A sowing that is to be planned, as far as it can be told without its ground."""

    pk: int
    version: int
    crop: str
    season: int
    sow_on: date | None
    not_before: date | None
    made_at: datetime


class JobRow(NamedTuple):
    """A stored job, as far as planning it again looks at it."""

    id: int
    sowing: int
    key: str
    start: date
    best: date
    by: date
    told: int
    state: str
    done_on: date | None
    is_asked: bool
    put_off_until: date | None
    moves: int

    @property
    def name(self) -> str:
        """The job's key without its sowing's."""
        return self.key.rpartition("/")[2]


def sowings_to_plan(
    site: Site, *, season: int | None = None, only: Sequence[Sowing] | None = None
) -> list[Wanted]:
    """Sowings of a site that still ask for work: planned, in the ground, or lifted and not yet put away.

    Those that are likely to ask the same stand together.
    """
    rows: QuerySet[Sowing] = Sowing.objects.filter(patch__site=site)
    if only is not None:
        rows = rows.filter(pk__in=[sowing.pk for sowing in only])
    else:
        planned = Q(state=Sowing.State.PLANNED)
        if season is not None:
            planned &= Q(season__gte=season)
        unfinished = Job.objects.filter(sowing=OuterRef("pk"), state=Job.State.OPEN, is_asked=True)
        lifted = Q(state=Sowing.State.LIFTED) & Q(Exists(unfinished))
        rows = rows.filter(planned | Q(state=Sowing.State.SOWN) | lifted)
    found = rows.order_by().values_list(
        "pk", "version", "crop", "season", "sow_on", "sown_on", "not_before", "made_at"
    )
    wanted = [
        Wanted(pk, version, crop, began, sown_on or sow_on, not_before, made_at)
        for pk, version, crop, began, sow_on, sown_on, not_before, made_at in found.iterator()
    ]
    return sorted(wanted, key=_by_question)


def _by_question(row: Wanted) -> tuple[str, date, date, int]:
    no_day = row.made_at.date()
    return (row.crop, row.sow_on or date.min, row.not_before or no_day, row.pk)


def sowings_wanted(site: Site, wanted: Sequence[Wanted]) -> list[Sowing]:
    """These sowings with their ground. One that was changed since is left out: its change planned it anew."""
    versions = {row.pk: row.version for row in wanted}
    rows = Sowing.objects.filter(pk__in=list(versions)).select_related("patch__bed").defer("patch__outline")
    found = [row for row in rows if row.version == versions[row.pk]]
    for row in found:
        row.patch.site = site  # the same object for all, instead of a copy each
    places = {row.pk: place for place, row in enumerate(wanted)}
    return sorted(found, key=lambda row: places[row.pk])


def job_rows(sowings: Sequence[int]) -> dict[int, list[JobRow]]:
    """The stored jobs of these sowings, by sowing. One query."""
    found: dict[int, list[JobRow]] = defaultdict(list)
    rows = Job.objects.filter(sowing__in=sowings).order_by().values_list(
        "pk", "sowing_id", "key", "start_on", "best_on", "by_on", "explanation_id", "state", "done_on",
        "is_asked", "put_off_until", "moves",
    )  # fmt: skip
    for row in rows.iterator(AT_ONCE):
        found[row[1]].append(JobRow(*row))
    return found


def changed_since(sowings: Sequence[Sowing], present: Mapping[int, Sequence[JobRow]]) -> set[int]:
    """Those sowings that were changed, or whose jobs were, after they were read. Two queries.

    Whatever happens to a sowing counts up its version, and whatever happens to a job its moves.
    """
    keys = [sowing.pk for sowing in sowings]
    versions = dict(Sowing.objects.filter(pk__in=keys).values_list("pk", "version"))
    jobs = Job.objects.filter(sowing__in=keys).order_by().values_list("sowing_id")
    counted = {pk: (rows, moves) for pk, rows, moves in jobs.annotate(rows=Count("pk"), total=Sum("moves"))}
    found = set()
    for sowing in sowings:
        rows = present.get(sowing.pk, ())
        was = (len(rows), sum(row.moves for row in rows))
        if versions.get(sowing.pk) != sowing.version or counted.get(sowing.pk, (0, 0)) != was:
            found.add(sowing.pk)
    return found


def marks_of_sowing(sowing: Sowing, jobs: Sequence[JobRow]) -> Marks:
    """What was recorded of a sowing's jobs; the sowing's own dates count as recorded."""
    marks: dict[str, Outcome] = {}
    if sowing.sown_on:
        marks["sow"] = Outcome(State.DONE, sowing.sown_on)
    if sowing.ended_on and sowing.state == Sowing.State.LIFTED:
        marks["lift"] = Outcome(State.DONE, sowing.ended_on)
    for job in jobs:
        if job.state == Job.State.DONE:
            marks[job.name] = Outcome(State.DONE, job.done_on)
        elif job.state == Job.State.NOT_NEEDED:
            marks[job.name] = Outcome(State.NOT_NEEDED)
        elif job.put_off_until:
            marks[job.name] = Outcome(State.PUT_OFF, job.put_off_until)
    return tuple(sorted(marks.items(), key=lambda mark: mark[0]))
