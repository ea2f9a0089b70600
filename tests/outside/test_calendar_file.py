"""The calendar file as three programs that we did not write read it.

RFC 5545 (lines of at most 75 octets ended by CRLF, UID, DTSTAMP, SEQUENCE, an end that is the day after)
and RFC 7986 (NAME, COLOR, REFRESH-INTERVAL with VALUE=DURATION). ``icalendar`` and ``vobject`` parse it, each
in its own way; ``recurring_ical_events`` says on which days something stands.
"""

from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest
import recurring_ical_events
import vobject
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from schedules.calendar_feed import feed
from schedules.calendar_selectors import Held
from schedules.models import CalendarAddress, Job
from schedules.selectors import DueJob
from society.models import Member, Society

NOW = datetime(2027, 4, 12, 8, 30, 12, 345, tzinfo=UTC)
DAY = timedelta(days=1)
words = st.text(st.characters(exclude_categories=["Cs", "Cc"]), max_size=200)
days = st.dates(date(2026, 1, 1), date(2030, 12, 31))


@st.composite
def held(draw):
    first = draw(days)
    best = first + timedelta(days=draw(st.integers(0, 30)))
    by = best + timedelta(days=draw(st.integers(0, 30)))
    job = Job(
        pk=draw(st.integers(1, 9999)),
        key=f"{draw(st.uuids())}/weed-{draw(st.integers(0, 9))}",
        kind="weed",
        start_on=first,
        best_on=best,
        by_on=by,
        moves=draw(st.integers(0, 50)),
        worked_out_at=NOW,
    )
    due = DueJob(
        job, "carrot", draw(words), draw(words), draw(words), "", draw(words), (draw(words),), (draw(words),)
    )
    return Held(due, is_off=draw(st.booleans()))


def file_of(jobs, *, shows="best", name="Ana"):
    member = Member(name=name, society=Society(name="Withy Lane Growers", zone="Europe/London"))
    return feed(CalendarAddress(member=member, shows=shows, made_at=NOW), jobs)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(held(), max_size=4, unique_by=lambda each: each.due.job.key), words)
def test_two_parsers_agree_on_what_it_says(jobs, name):
    body = file_of(jobs, name=name).body
    theirs = icalendar.Calendar.from_ical(body)
    others = vobject.readOne(body.decode())
    others.validate(raiseException=True)
    read = {str(each["uid"]): each for each in theirs.walk("VEVENT")}
    again = {each.uid.value: each for each in getattr(others, "vevent_list", [])}
    assert read.keys() == again.keys() == {f"{each.due.job.key}@commonrow.example" for each in jobs}
    for uid, event in read.items():
        other = again[uid]
        assert event.decoded("dtstart") == other.dtstart.value
        assert event.decoded("dtend") == other.dtend.value
        assert event["sequence"] == int(other.sequence.value)
        assert str(event["status"]) == other.status.value
        assert str(event["summary"]) == other.summary.value
        assert str(event["location"]) == other.location.value
        assert str(event["description"]) == other.description.value


@settings(max_examples=60, deadline=None)
@given(st.lists(held(), max_size=4))
def test_lines_are_short_whole_and_ended_as_the_standard_says(jobs):
    body = file_of(jobs).body
    lines = body.split(b"\r\n")
    assert lines[-1] == b""
    assert all(len(line) <= 75 for line in lines)
    assert all(b"\n" not in line and b"\r" not in line for line in lines)
    for line in lines:
        line.decode("utf-8")  # folded between characters, never inside one


@pytest.mark.parametrize("shows", ["best", "window"])
@settings(max_examples=40, deadline=None)
@given(each=held())
def test_it_stands_on_these_days_and_on_no_other(shows, each):
    job = each.due.job
    first, last = (job.best_on, job.best_on) if shows == "best" else (job.start_on, job.by_on)
    calendar = icalendar.Calendar.from_ical(file_of([each], shows=shows).body)
    found = recurring_ical_events.of(calendar, skip_bad_series=False)
    stands = [len(found.at(day)) for day in (first - DAY, first, last, last + DAY)]
    assert stands == [0, 1, 1, 0]


def test_the_head_says_what_the_standard_wants_of_it():
    body = file_of([]).body.decode()
    assert "REFRESH-INTERVAL;VALUE=DURATION:PT6H\r\n" in body
    assert "X-PUBLISHED-TTL:PT6H\r\n" in body
    assert "NAME:Withy Lane Growers: jobs of Ana\r\n" in body
    assert "X-WR-CALNAME:Withy Lane Growers: jobs of Ana\r\n" in body
    assert body.startswith("BEGIN:VCALENDAR\r\n")
    assert body.endswith("END:VCALENDAR\r\n")
