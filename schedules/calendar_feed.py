"""A member's jobs as a calendar file: RFC 5545, with the names and hints of RFC 7986.

Nothing in it is taken from the hour of asking, so that the same jobs are the same bytes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from hashlib import sha256

from django.conf import settings
from django.urls import reverse
from icalendar import Calendar, Event, vDuration

from schedules.calendar_selectors import Held
from schedules.letter_wording import one_line
from schedules.models import CalendarAddress, Job
from schedules.wording import date_words
from society.models import Member

ASKED_EVERY = timedelta(hours=6)
DAY = timedelta(days=1)
CONTENT_TYPE = "text/calendar; charset=utf-8"
PRODUCT = "-//Commonrow//Jobs//EN"


@dataclass(frozen=True, slots=True)
class Feed:
    """The file and its strong entity tag."""

    body: bytes
    etag: str


def feed(address: CalendarAddress, held: Sequence[Held]) -> Feed:
    """The file behind an address. Nothing in it names another member."""
    changed_at = max((each.due.job.worked_out_at for each in held), default=address.made_at)
    changed_at = max(changed_at, address.made_at).replace(microsecond=0)
    calendar = _head(address.member, changed_at)
    for each in held:
        calendar.add_component(_event(each, shows=address.shows))
    body = calendar.to_ical()
    return Feed(body, f'"{sha256(body).hexdigest()[:32]}"')


def _head(member: Member, changed_at: datetime) -> Calendar:
    name = one_line(f"{member.society.name}: jobs of {member.name}")
    calendar = Calendar()
    calendar.add("prodid", PRODUCT)
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("x-wr-calname", name)
    calendar.add("last-modified", changed_at.astimezone(UTC))
    calendar.add("color", "darkolivegreen")
    # RFC 7986 section 5.7 asks for the parameter although no other type is allowed.
    calendar.add("refresh-interval", vDuration(ASKED_EVERY), parameters={"VALUE": "DURATION"})
    calendar.add("x-published-ttl", vDuration(ASKED_EVERY))
    return calendar


def _event(held: Held, *, shows: str) -> Event:
    due, job = held.due, held.due.job
    first, last = _days(job, shows)
    event = Event()
    event.add("uid", f"{job.key}@{settings.MAIL_DOMAIN}")
    event.add("dtstamp", job.worked_out_at.astimezone(UTC).replace(microsecond=0))
    event.add("last-modified", job.worked_out_at.astimezone(UTC).replace(microsecond=0))
    event.add("sequence", job.moves)
    event.add("dtstart", first)
    event.add("dtend", last + DAY)  # the end is the first day after
    event.add("summary", one_line(f"{'Done: ' if job.state == Job.State.DONE else ''}{due.title}"))
    event.add("location", one_line(f"Plot {due.plot_number}, {due.bed_name}"))
    event.add("description", _description(held))
    event.add("categories", [job.kind.replace("_", " ")])
    event.add("status", "CANCELLED" if held.is_off else "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    event.add("url", settings.PUBLIC_URL + reverse("job-record", args=[job.pk]))
    return event


def _days(job: Job, shows: str) -> tuple[date, date]:
    if job.done_on is not None:
        return job.done_on, job.done_on
    first, best = job.start_on, job.best_on
    if job.put_off_until is not None:
        first, best = max(first, job.put_off_until), max(best, job.put_off_until)
    if shows == CalendarAddress.Shows.WINDOW:
        return first, max(first, job.by_on)
    return best, best


def _description(held: Held) -> str:
    due, job = held.due, held.due.job
    if held.is_off:
        return "Called off: it is no longer asked for."
    if job.done_on is not None:
        return f"Done on {date_words(job.done_on)}."
    lines = [_window_words(job), due.reason_text, *due.note_texts]
    return "\n".join([*lines, *(f"Take care: {text}" for text in due.caution_texts)])


def _window_words(job: Job) -> str:
    """The window without regard to today: the file must not change because a day has passed."""
    if job.start_on == job.by_on:
        return f"On {date_words(job.by_on)}."
    middle = "" if job.best_on in {job.start_on, job.by_on} else f", best on {date_words(job.best_on)}"
    return f"From {date_words(job.start_on)}{middle}, by {date_words(job.by_on)}."
