"""Order and record: drafts in, finished jobs out.

Along a sowing, from, best and by each never run backwards. What is done stands on its day and moves what
follows; what is not needed holds nothing up; what is put off takes its followers along.
"""

from datetime import date, timedelta
from typing import NamedTuple

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

# What was observed makes a day certain, and no garden keeps to a day: common practice, no published source.
LEAST_WIDTH_DAYS = 4
LEAST_WIDTH_KINDS = frozenset({Kind.WEED, Kind.THIN, Kind.EARTH_UP, Kind.LIFT})
# Of what stands outside the chain, where its best day falls.
OUTSIDE = -1


class Link(NamedTuple):
    """A draft with its key and what the record says of it.

    ``done`` is the day on which it was done. ``span`` is that day, or the draft's span, or that put off.
    """

    key: str
    draft: Draft
    outcome: Outcome | None
    phase: int
    done: int | None
    span: Span


def chained(
    drafts: list[Draft], *, request_key: str, crop: Crop, first: date, record: Record
) -> tuple[Job, ...]:
    """Return the jobs of one sowing, in order."""
    if not drafts:
        return ()
    links = [_link(draft, request_key, first, record) for draft in drafts]
    jobs = _jobs(_in_order([link for link in links if link.phase != OUTSIDE]), crop, first)
    for link in links:
        if link.phase == OUTSIDE:
            _insert(jobs, _job(link, link.span, link.outcome, crop, first))
    return tuple(jobs)


def _link(draft: Draft, request_key: str, first: date, record: Record) -> Link:
    key = f"{request_key}/{draft.kind}" + (f"-{draft.stage}" if draft.stage else "")
    outcome, phase = record.get(key), PHASES.get(draft.kind, OUTSIDE)
    if outcome is None or outcome.on is None or outcome.state is State.NOT_NEEDED:
        return Link(key, draft, outcome, phase, None, _wide(draft))
    recorded = (outcome.on - first).days
    if outcome.state is State.DONE:
        return Link(key, draft, outcome, phase, recorded, Span.on(recorded))
    return Link(key, draft, outcome, phase, None, _wide(draft).not_before(recorded))


def _wide(draft: Draft) -> Span:
    """Return the draft's span, of some days at the least where the job is one of tending or lifting."""
    if draft.kind not in LEAST_WIDTH_KINDS or draft.span.by >= draft.span.best + LEAST_WIDTH_DAYS:
        return draft.span
    return draft.span._replace(by=draft.span.best + LEAST_WIDTH_DAYS)


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
    done = [link for link in links if link.done is not None]
    for link in links:
        outcome = link.outcome or _overtaken(done, link)
        span = link.span
        if link.done is None:
            span = _spaced(span.after(floor), link.draft, latest)
            ceiling = _done_later(done, link.phase)
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


def _done_later(done: list[Link], phase: int) -> int | None:
    """Return the first day on which a later phase was already done: an open job was due by then."""
    return min((link.done for link in done if link.phase > phase and link.done is not None), default=None)


def _overtaken(done: list[Link], link: Link) -> Outcome | None:
    """Return NOT_NEEDED for an open job that is past use.

    What leads up to sowing is once the crop is sown, a stage once a later one is done, and tending once
    the crop is lifted.
    """
    overtaker = Kind.SOW if link.phase < PHASES[Kind.SOW] else Kind.LIFT
    for other in done:
        is_later_stage = other.draft.kind is link.draft.kind and other.draft.stage > link.draft.stage
        is_end_of_use = other.draft.kind is overtaker and other.phase > link.phase
        if is_later_stage or is_end_of_use:
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
