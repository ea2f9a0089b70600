"""Living a season: every piece of work up to the day shown is recorded as a grower would have done it.

The planner is asked again every fortnight in which something is done, with the weather known by then; the
outcome is written in one go. It comes to what recording each job by hand would have come to, in a tenth of
the time.
"""

from collections.abc import Callable, Iterator, Sequence, Set
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from plots.models import Site, Sowing
from schedules.demo.ground import gone_on
from schedules.demo.layout import Layout
from schedules.demo.standing import Standing
from schedules.demo.weather import WeatherBook
from schedules.models import Job
from schedules.plan_services import request_of
from schedules.plan_writing import Planned, plans_write
from schedules.planner import Job as PlannedJob
from schedules.planner import Kind, Outcome, Plan, SiteFacts, SowingRequest, State, plan, span
from schedules.planner.questions import Book, Told
from schedules.site_facts import site_facts
from schedules.tired_ground import family_last_season

LOOKS_AGAIN = timedelta(days=7)
LEFT_OPEN = timedelta(days=3)  # what fell due these last days is left for the reader to do
TARDY_LEFT_OPEN = timedelta(days=12)
NEXT_LOOK = timedelta(days=14)
PICKED_EVERY = timedelta(days=14)
MOST_DEEDS = 60  # a sowing that asks for more than this goes round in circles


@dataclass(slots=True)
class Life:
    """One sowing, what was recorded of it so far, and the plan that follows from that."""

    sowing: Sowing
    is_tardy: bool
    tired: bool
    put_offs: list[date]
    record: dict[str, Outcome] = field(default_factory=dict)


def seasons_live(
    layout: Layout,
    site: Site,
    sowings: Sequence[tuple[Sowing, Standing]],
    *,
    today: date,
    now: datetime,
    on_step: Callable[[float], None],
) -> int:
    """Live every sowing up to today and write it down; returns how many deeds were recorded."""
    tired = family_last_season([sowing for sowing, _ in sowings])
    facts = site_facts(site)
    book = WeatherBook.of(site)
    lives: list[Life] = []
    plans: list[Planned] = []
    told: dict[str, Told] = {}
    for done, (sowing, standing) in enumerate(sowings, start=1):
        begins = sowing.not_before
        if begins is not None and begins < today:
            life = _life(layout, sowing, standing, tired)
            request, answer = _live(life, book, facts, begins=begins, today=today)
            kept = Book()
            plans.append(Planned(sowing.pk, request.key, kept.answer(answer)))
            told |= kept.told
            lives.append(life)
        on_step(done / len(sowings))
    Sowing.objects.bulk_update([life.sowing for life in lives], ["state", "sown_on", "ended_on"])
    plans_write(site, plans, told, {}, now=now)
    _write_other_outcomes(lives)
    return sum(len(life.record) for life in lives)


def _life(layout: Layout, sowing: Sowing, standing: Standing, tired: Set[int]) -> Life:
    grower = layout.plot(standing.plot)
    later = timedelta(days=grower.whole("days_later"))
    gone = gone_on(standing, sowing.season, later)
    picked = list(_picked_on(sowing, gone)) if gone and standing.course.is_picked_on else []
    return Life(sowing, grower.text("habit") == "tardy", sowing.pk in tired, picked)


def _picked_on(sowing: Sowing, gone: date) -> Iterator[date]:
    """The days to which a lifting is put off in turn: the rest stays in the ground until it is gone."""
    day = sowing.sow_on or sowing.not_before
    while day is not None and day < gone:
        yield day
        day += PICKED_EVERY
    yield gone


def _live(
    life: Life, book: WeatherBook, facts: SiteFacts, *, begins: date, today: date
) -> tuple[SowingRequest, Plan]:
    day, left_open = begins, _left_open(life, today)
    last_look = max(begins, left_open - timedelta(days=1))
    for _ in range(MOST_DEEDS):
        day = min(_reading_day(day), max(day, last_look))
        request = request_of(life.sowing, tired=life.tired)
        first, days = span(request, facts, life.record, day)
        curves = book.known_on(day, facts, first=first, days=days)
        answer = plan(request, facts, curves.climate, life.record, day, shared=curves)
        job, deed = _next_deed(answer, life, day=day)
        if job is None or (deed >= left_open and day >= last_look):
            return request, answer
        if deed >= left_open or (_waits_for_ground(job, life) and day + LOOKS_AGAIN < deed):
            day = min(day + LOOKS_AGAIN, last_look) if _waits_for_ground(job, life) else last_look
            continue
        for each in _until_next_look(answer, life, since=deed):
            done_on = max(_done_on(each, life), deed)
            if done_on >= left_open:
                break
            day = done_on
            life.record[each.key] = _outcome(each, life, day=day, today=today)
            _carry(life.sowing, each, life.record[each.key])
    raise RuntimeError(f"{life.sowing} asks for more than {MOST_DEEDS} deeds")


def _reading_day(day: date) -> date:
    """The day on or after this one on which growers read their plans: once a week, all on one day."""
    return day + timedelta(days=-day.toordinal() % LOOKS_AGAIN.days)


def _next_deed(answer: Plan, life: Life, *, day: date) -> tuple[PlannedJob | None, date]:
    """The open job that is done next, and the day on which it is; none and no day when all is done."""
    open_jobs = [job for job in answer.jobs if job.state is State.OPEN]
    if not open_jobs:
        return None, date.max
    job = min(open_jobs, key=lambda each: _done_on(each, life))
    return job, max(_done_on(job, life), day)


def _done_on(job: PlannedJob, life: Life) -> date:
    put_off = life.record.get(job.key)
    if put_off and put_off.on:
        return put_off.on
    return job.window.by if life.is_tardy else job.window.best


def _until_next_look(answer: Plan, life: Life, *, since: date) -> Iterator[PlannedJob]:
    """What a grower does by one reading of the plan, in order; a harvest asks for another reading."""
    open_jobs = [job for job in answer.jobs if job.state is State.OPEN]
    for job in sorted(open_jobs, key=lambda each: _done_on(each, life)):
        if _done_on(job, life) >= since + NEXT_LOOK:
            return
        yield job
        if job.kind is Kind.LIFT:
            return


def _waits_for_ground(job: PlannedJob, life: Life) -> bool:
    """Whether warm days may yet bring the deed forward: a grower who waits for them looks every week."""
    return job.kind in {Kind.WARM, Kind.SOW} and life.sowing.sow_on is None


def _left_open(life: Life, today: date) -> date:
    return today - (TARDY_LEFT_OPEN if life.is_tardy else LEFT_OPEN)


def _outcome(job: PlannedJob, life: Life, *, day: date, today: date) -> Outcome:
    if job.kind is Kind.RESOW:  # the next row of the same is a sowing of its own here, or not wanted
        return Outcome(State.NOT_NEEDED)
    while job.kind is Kind.LIFT and life.put_offs:
        later = life.put_offs.pop(0)
        # Days put off to that are long past leave no trace but the last: go straight to that.
        if later > day and (later >= _left_open(life, today) or not life.put_offs):
            return Outcome(State.PUT_OFF, later)
    return Outcome(State.DONE, day)


def _carry(sowing: Sowing, job: PlannedJob, outcome: Outcome) -> None:
    """Sown ground and lifted ground are facts of the ground record, not only of a job."""
    if outcome.state is not State.DONE:
        return
    if job.kind is Kind.SOW:
        sowing.state, sowing.sown_on = Sowing.State.SOWN, outcome.on
    elif job.kind is Kind.LIFT:
        sowing.state, sowing.ended_on = Sowing.State.LIFTED, outcome.on


def _write_other_outcomes(lives: Sequence[Life]) -> None:
    """What was put off or not needed is a grower's word, which no plan carries."""
    for life in lives:
        for key, outcome in life.record.items():
            jobs = Job.objects.filter(key=key)
            if outcome.state is State.PUT_OFF:
                jobs.update(put_off_until=outcome.on)
            elif outcome.state is State.NOT_NEEDED:
                jobs.update(state=Job.State.NOT_NEEDED, is_asked=True)
