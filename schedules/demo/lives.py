"""Living a season: every piece of work up to the day shown is recorded as a grower would have done it.

The planner is asked again after every deed, on the day of the deed and with the weather known by then; the
outcome is written in one go. It comes to what recording each job by hand would have come to, in a tenth of
the time.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from plots.models import Site, Sowing
from schedules.demo.layout import PlannedCrop
from schedules.demo.tables import MonthDay
from schedules.demo.weather import WeatherBook
from schedules.models import Job
from schedules.plan_selectors import family_last_season
from schedules.plan_services import request_of
from schedules.plan_writing import plans_write
from schedules.planner import Job as PlannedJob
from schedules.planner import Kind, Outcome, Plan, SiteFacts, State, plan, span

LEFT_OPEN = timedelta(days=3)  # what fell due these last days is left for the reader to do
TARDY_LEFT_OPEN = timedelta(days=12)
MOST_DEEDS = 60  # a sowing that asks for more than this goes round in circles


@dataclass(slots=True)
class Life:
    """One sowing, what was recorded of it so far, and the plan that follows from that."""

    sowing: Sowing
    row: PlannedCrop
    tired: bool
    put_offs: list[date]
    record: dict[str, Outcome] = field(default_factory=dict)


def seasons_live(
    site: Site,
    sowings: Sequence[tuple[Sowing, PlannedCrop]],
    *,
    today: date,
    now: datetime,
    on_step: Callable[[float], None],
) -> int:
    """Live every sowing up to today and write it down; returns how many deeds were recorded."""
    tired = family_last_season([sowing for sowing, _ in sowings])
    facts = SiteFacts(site.latitude, site.longitude, site.zone, carrot_fly=site.carrot_fly)
    book = WeatherBook.of(site)
    lives, plans = [], []
    for done, (sowing, row) in enumerate(sowings, start=1):
        begins = sowing.not_before
        if begins is not None and begins < today:
            life = Life(sowing, row, sowing.pk in tired, list(_in_turn(row.put_off, sowing.season)))
            plans.append((sowing, _live(life, book, facts, begins=begins, today=today)))
            lives.append(life)
        on_step(done / len(sowings))
    Sowing.objects.bulk_update([life.sowing for life in lives], ["state", "sown_on", "ended_on"])
    plans_write(plans, now=now)
    _write_other_outcomes(lives)
    return sum(len(life.record) for life in lives)


def _live(life: Life, book: WeatherBook, facts: SiteFacts, *, begins: date, today: date) -> Plan:
    day = begins
    for _ in range(MOST_DEEDS):
        request = request_of(life.sowing, tired=life.tired)
        first, days = span(request, facts, life.record, day)
        weather = book.known_on(day, first=first, days=days)
        answer = plan(request, facts, weather, life.record, day)
        deed = _next_deed(answer, life, day=day, today=today)
        if deed is None:
            return answer
        job, day = deed
        life.record[job.key] = _outcome(job, day, life.put_offs)
        _carry(life.sowing, job, life.record[job.key])
    raise RuntimeError(f"{life.sowing} asks for more than {MOST_DEEDS} deeds")


def _next_deed(answer: Plan, life: Life, *, day: date, today: date) -> tuple[PlannedJob, date] | None:
    """The next job that was done before these last days, and the day on which it was."""
    latest = today - (TARDY_LEFT_OPEN if life.row.is_tardy else LEFT_OPEN)

    def done_on(job: PlannedJob) -> date:
        put_off = life.record.get(job.key)
        if put_off and put_off.on:
            return put_off.on
        return job.window.by if life.row.is_tardy else job.window.best

    open_jobs = [job for job in answer.jobs if job.state is State.OPEN]
    if not open_jobs:
        return None
    job = min(open_jobs, key=done_on)
    deed = max(done_on(job), day)
    return (job, deed) if deed < latest else None


def _outcome(job: PlannedJob, day: date, put_offs: list[date]) -> Outcome:
    if job.kind is Kind.RESOW:  # the next row of the same is a sowing of its own here, or not wanted
        return Outcome(State.NOT_NEEDED)
    while job.kind is Kind.LIFT and put_offs:
        later = put_offs.pop(0)
        if later > day:
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
            if outcome.state is State.PUT_OFF:
                Job.objects.filter(key=key).update(put_off_until=outcome.on)
            elif outcome.state is State.NOT_NEEDED:
                Job.objects.filter(key=key).update(state=Job.State.NOT_NEEDED, is_asked=True)


def _in_turn(days: Sequence[MonthDay], season: int) -> Iterator[date]:
    """Days of the year one after another, running on into the next year."""
    last = date(season, 1, 1)
    for each in days:
        day = date(season, each.month, each.day)
        if day < last:
            day = date(season + 1, each.month, each.day)
        last = day
        yield day
