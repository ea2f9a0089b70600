"""One member's coming seven days, laid out as the week page shows them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from plots.models import Plot
from plots.selectors import plots_worked_by
from schedules.models import Job
from schedules.selectors import DueJob, as_read, jobs_due, open_jobs
from society.models import Member

DAYS = 7


@dataclass(frozen=True, slots=True)
class Entry:
    """A line of the ledger: the job, the day of this week that suits it best, and how pressing it is."""

    due: DueJob
    day: date
    is_late: bool

    @property
    def job(self) -> Job:
        return self.due.job


@dataclass(frozen=True, slots=True)
class Day:
    date: date
    is_today: bool
    entries: tuple[Entry, ...]


@dataclass(frozen=True, slots=True)
class MemberWeek:
    """What one member's plots ask for; ``shared`` counts jobs that stand under another member already."""

    member: Member
    plots: tuple[Plot, ...]
    days: tuple[Day, ...]
    entries: tuple[Entry, ...]
    shared: int
    next_job: DueJob | None


def weeks_of(members: Iterable[Member], *, today: date) -> list[MemberWeek]:
    """The week of each member in turn. A job that two of them share is written under the first."""
    seen: set[int] = set()
    weeks = []
    for member in members:
        week = member_week(member, today=today, leave_out=frozenset(seen))
        seen.update(entry.job.pk for entry in week.entries)
        weeks.append(week)
    return weeks


def member_week(member: Member, *, today: date, leave_out: frozenset[int] = frozenset()) -> MemberWeek:
    plots = tuple(plots_worked_by(member, on=today))
    due = jobs_due(plots, today=today, days=DAYS, units=member.units) if plots else []
    entries = tuple(entry_of(each, today=today) for each in due if each.job.pk not in leave_out)
    return MemberWeek(
        member=member,
        plots=plots,
        days=_days(entries, today),
        entries=entries,
        shared=len(due) - len(entries),
        next_job=next_after(plots, today=today, units=member.units) if plots and not due else None,
    )


def next_after(plots: Iterable[Plot], *, today: date, units: str) -> DueJob | None:
    """The first job that comes after the seven days."""
    job = open_jobs(plots).order_by("start_on", "by_on", "key").first()
    return as_read(job, today=today, units=units) if job else None


def entry_of(due: DueJob, *, today: date) -> Entry:
    return Entry(due=due, day=day_for(due.job, today=today), is_late=due.job.by_on < today)


def day_for(job: Job, *, today: date) -> date:
    """The job's best day if it lies in the week; a late one belongs to today."""
    last = today + timedelta(days=DAYS - 1)
    return min(max(job.best_on, today), last)


def _days(entries: tuple[Entry, ...], today: date) -> tuple[Day, ...]:
    days = [today + timedelta(days=ahead) for ahead in range(DAYS)]
    return tuple(
        Day(date=day, is_today=day == today, entries=tuple(entry for entry in entries if entry.day == day))
        for day in days
    )
