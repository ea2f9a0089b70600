"""Order and record: drafts in, finished jobs out.

Along a sowing, from, best and by each never run backwards. What is done stands on its day and moves what
follows; what is not needed holds nothing up; what is put off takes its followers along.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from plots.crops import Crop
from schedules.planner.cautions import cautions_for
from schedules.planner.drafts import Draft
from schedules.planner.types import Job, Kind, Outcome, Record, State
from schedules.planner.windows import Span

PHASES = {
    Kind.RAISE: 0,
    Kind.WARM: 0,
    Kind.SOW: 1,
    Kind.COVER: 2,
    Kind.SHOWING: 3,
    Kind.WEED: 3,
    Kind.THIN: 3,
    Kind.EARTH_UP: 3,
    Kind.UNCOVER: 3,
    Kind.NECKS: 4,
    Kind.LIFT: 5,
    Kind.STORE: 6,
    Kind.STORE_CHECK: 7,
}


@dataclass(frozen=True, slots=True)
class Link:
    """A draft with its key and what the record says of it."""

    key: str
    draft: Draft
    outcome: Outcome | None
    recorded: int | None

    @property
    def phase(self) -> int:
        return PHASES[self.draft.kind]

    @property
    def done(self) -> int | None:
        return self.recorded if self.outcome and self.outcome.state is State.DONE else None

    @property
    def span(self) -> Span:
        """Return the draft's span, or the day it was done, or the span put off."""
        if self.recorded is None:
            return self.draft.span
        return Span.on(self.recorded) if self.done is not None else self.draft.span.not_before(self.recorded)


def chained(
    drafts: list[Draft], *, request_key: str, crop: Crop, first: date, record: Record
) -> tuple[Job, ...]:
    """Return the jobs of one sowing, in order."""
    if not drafts:
        return ()
    links = [_link(draft, request_key, first, record) for draft in drafts]
    jobs = _jobs(_in_order([link for link in links if link.draft.kind in PHASES]), crop, first)
    for link in links:
        if link.draft.kind not in PHASES:
            _insert(jobs, _job(link, link.span, link.outcome, crop, first))
    return tuple(jobs)


def _link(draft: Draft, request_key: str, first: date, record: Record) -> Link:
    key = f"{request_key}/{draft.kind}" + (f"-{draft.stage}" if draft.stage else "")
    outcome = record.get(key)
    recorded = (outcome.on - first).days if outcome and outcome.on else None
    if outcome and outcome.state is State.NOT_NEEDED:
        recorded = None
    return Link(key, draft, outcome, recorded)


def _in_order(links: list[Link]) -> list[Link]:
    """Sort by phase, then by best day; a stage never comes before the stage ahead of it."""
    latest: dict[Kind, int] = {}
    places: dict[str, int] = {}
    for link in links:
        latest[link.draft.kind] = max(latest.get(link.draft.kind, link.span.best), link.span.best)
        places[link.key] = latest[link.draft.kind]
    return sorted(links, key=lambda link: (link.phase, places[link.key]))


def _jobs(links: list[Link], crop: Crop, first: date) -> list[Job]:
    jobs: list[Job] = []
    floor = Span.on(links[0].span.start)
    latest: dict[Kind, Span] = {}
    for place, link in enumerate(links):
        outcome = link.outcome or _overtaken(links, link)
        span = link.span
        if link.done is None:
            span = _spaced(span.after(floor), link.draft, latest)
            ceiling = _done_later(links[place + 1 :], link.phase)
            span = span if ceiling is None else span.no_later(ceiling)
        jobs.append(_job(link, span, outcome, crop, first))
        if outcome is None or outcome.state is not State.NOT_NEEDED:
            floor = span.after(floor)
            latest[link.draft.kind] = span
    return jobs


def _spaced(span: Span, draft: Draft, latest: dict[Kind, Span]) -> Span:
    if draft.spacing is None or draft.spacing.kind not in latest:
        return span
    return span.after(latest[draft.spacing.kind], draft.spacing.days)


def _done_later(links: list[Link], phase: int) -> int | None:
    """Return the first day on which a later phase was already done: an open job was due by then."""
    return min((link.done for link in links if link.phase > phase and link.done is not None), default=None)


def _overtaken(links: list[Link], link: Link) -> Outcome | None:
    """Return NOT_NEEDED for an open job that is past use.

    What leads up to sowing is once the crop is sown, a stage once a later one is done, and tending once
    the crop is lifted.
    """
    overtaker = Kind.SOW if link.phase < PHASES[Kind.SOW] else Kind.LIFT
    for other in links:
        is_later_stage = other.draft.kind is link.draft.kind and other.draft.stage > link.draft.stage
        is_end_of_use = other.draft.kind is overtaker and other.phase > link.phase
        if other.done is not None and (is_later_stage or is_end_of_use):
            return Outcome(State.NOT_NEEDED)
    return None


def _job(link: Link, span: Span, outcome: Outcome | None, crop: Crop, first: date) -> Job:
    state = State.OPEN if outcome is None or outcome.state is State.PUT_OFF else outcome.state
    return Job(
        key=link.key,
        kind=link.draft.kind,
        stage=link.draft.stage,
        window=span.dates(first),
        reason=link.draft.reason,
        cautions=cautions_for(crop, link.draft.kind),
        state=state,
        done_on=None if link.done is None else first + timedelta(days=link.done),
        notes=link.draft.notes,
    )


def _insert(jobs: list[Job], job: Job) -> None:
    """Put a job that stands outside the chain where its best day falls."""
    place = next((at for at, other in enumerate(jobs) if other.window.best > job.window.best), len(jobs))
    jobs.insert(place, job)
