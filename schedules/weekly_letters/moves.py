"""What moved since a member's last letter, and why."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from plots.crops import crop as crop_of
from plots.models import Sowing
from schedules.letter_sections import Entry
from schedules.letter_wording import NO_BED, place, short_day
from schedules.models import Job
from schedules.selectors import DueJob, as_read
from schedules.titles import job_title
from schedules.weekly_letters.gathering import LastLetter, Matter

# Windows breathe by a day every night; only what would change somebody's plans is news.
NEWS = timedelta(days=2)
NO_LONGER = "The plan as it is today does without it."
BY_WEATHER = "It was worked out again from the weather since."


@dataclass(frozen=True, slots=True)
class Told:
    """What a letter said of one job: its window, and the day of the sowing where that was known."""

    start: date
    best: date
    by: date
    sown: date | None


def told_of(jobs: Iterable[DueJob]) -> dict[str, list[str]]:
    """What the next letter must know of this one: by job, its window and the day it was sown."""
    return {due.key: _days(due.job) for due in jobs}


def moves(matter: Matter) -> list[Entry]:
    """Each job whose window moved by two days or more, those of this letter by their number in it."""
    if matter.last is None:
        return []
    return [*_in_this_letter(matter, matter.last), *_not_in_it(matter, matter.last)]


def _in_this_letter(matter: Matter, last: LastLetter) -> Iterator[Entry]:
    for number, group in enumerate(matter.groups, start=1):
        for due in group:
            was = _told(last, due.key)
            if was is None or not _is_news(due.job, was, last.on):
                continue
            yield Entry(
                heading=due.title,
                place=f"Number {number} above",
                when=_was_and_is(due.job, was),
                why=_why(due.job, was, last, matter.gone),
            )


def _not_in_it(matter: Matter, last: LastLetter) -> Iterator[Entry]:
    """What the last letter told of and this one does not: put off, moved on, or asked for no more."""
    for job in matter.gone:
        was = _told(last, job.key)
        if was is None or job.state != Job.State.OPEN or job.sowing.state in _OVER:
            continue
        read = as_read(job, today=matter.today, units=matter.to.reader.units)
        is_asked = job.is_asked
        if is_asked and not _is_news(job, was, last.on):
            continue
        patch = job.sowing.patch
        yield Entry(
            heading=read.title,
            place=place(
                patch.plot.number,
                patch.bed.name if patch.bed else NO_BED,
                site=patch.plot.site.name if matter.on_several_sites else "",
            ),
            when=_was_and_is(job, was) if is_asked else "No longer asked for.",
            why=f"{_why(job, was, last, matter.gone)} {read.reason_text}" if is_asked else NO_LONGER,
        )


_OVER = (Sowing.State.LIFTED, Sowing.State.CLEARED)


def _is_news(job: Job, was: Told, told_on: date) -> bool:
    """Where a window was open already, only its end can still move."""
    shifts = [job.by_on - was.by]
    if was.start > told_on:
        shifts.append(job.start_on - was.start)
    return any(abs(shift) >= NEWS for shift in shifts)


def _was_and_is(job: Job, was: Told) -> str:
    now, then = _span(job.start_on, job.by_on), _span(was.start, was.by)
    return f"Now {now}; the last letter said {then}."


def _span(start: date, by: date) -> str:
    if start == by:
        return short_day(by)
    begins = str(start.day) if (start.year, start.month) == (by.year, by.month) else short_day(start)
    return f"{begins} to {short_day(by)}"


def _why(job: Job, was: Told, last: LastLetter, others: Sequence[Job]) -> str:
    if job.put_off_until is not None and job.put_off_until >= last.on:
        return f"It was put off until {short_day(job.put_off_until)}."
    sown = job.sowing.sown_on
    if sown is not None and sown != was.sown:
        return f"It counts from {short_day(sown)}, when the sowing was recorded."
    done = [
        each
        for each in others
        if each.sowing_id == job.sowing_id and each.done_on is not None and each.done_on >= last.on
    ]
    if done:
        before = max(done, key=lambda each: each.done_on or last.on)
        crop = crop_of(before.sowing.crop)
        title = job_title(before.kind, crop, before.values, units="metric")
        day = short_day(before.done_on or last.on)
        return f"It follows what was done on {day}: {title[:1].lower()}{title[1:]}."
    return BY_WEATHER


def _told(last: LastLetter, key: str) -> Told | None:
    """None for a job that the last letter did not name, or named in a form that is no longer read."""
    days = last.jobs.get(key)
    try:
        start, best, by, sown = days or ()
        window = [date.fromisoformat(each) for each in (start, best, by)]
        return Told(window[0], window[1], window[2], date.fromisoformat(sown) if sown else None)
    except (TypeError, ValueError):
        return None


def _days(job: Job) -> list[str]:
    sown = job.sowing.sown_on
    return [*(day.isoformat() for day in (job.start_on, job.best_on, job.by_on)), str(sown) if sown else ""]
