"""The private calendar: its page, its file, and who may read it."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.test import Client
from icalendar import Calendar

from plots.models import Sowing
from schedules.calendar_services import calendar_address_make
from schedules.job_services import job_record
from schedules.models import CalendarAddress, Job
from society.models import JournalEntry
from tests.factories import (
    make_account,
    make_bed,
    make_job,
    make_member,
    make_plot,
    make_sowing,
    make_tenancy,
)

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
TODAY = NOW.date()
PAGE = "/calendar/"


@pytest.fixture
def job(cast):
    return make_job(
        make_sowing(cast.bed, season=2027, state="sown", sown_on=date(2027, 3, 20)), start_on=TODAY
    )


def address_of(member, *, shows="best"):
    _, token = calendar_address_make(member=member, shows=shows, account=None, now=NOW)
    return f"/calendar/{token}.ics"


def events(answer):
    return {str(event["uid"]): event for event in Calendar.from_ical(answer.content).walk("VEVENT")}


def only_event(address):
    (event,) = events(Client().get(address)).values()
    return event


def test_a_member_makes_an_address_that_is_told_once(cast, job, as_account):
    ana = as_account(cast.ana_account)

    page = ana.post(PAGE, {"member": cast.ana.pk, "do": "make", "shows": "best"}).content.decode()

    told = page.split('value="http://testserver')[1].split('"')[0]
    assert Client().get(told).status_code == 200
    assert told not in ana.get(PAGE).content.decode()
    assert told.split("/")[-1].removesuffix(".ics") not in str(list(CalendarAddress.objects.values()))
    assert JournalEntry.objects.filter(action="calendar.made").count() == 1


def test_a_new_address_kills_the_old_one_and_switching_off_kills_both(cast, job, as_account):
    old, new = address_of(cast.ana), address_of(cast.ana)
    assert (Client().get(old).status_code, Client().get(new).status_code) == (404, 200)

    as_account(cast.ana_account).post(PAGE, {"member": cast.ana.pk, "do": "revoke"})

    assert Client().get(new).status_code == 404


def test_nobody_makes_an_address_for_somebody_else(cast, as_account):
    for account in (cast.col_account, cast.dee_account):
        answer = as_account(account).post(PAGE, {"member": cast.ana.pk, "do": "make", "shows": "best"})
        assert answer.status_code == 404
    assert not CalendarAddress.objects.exists()


def test_a_page_without_a_choice_comes_back_with_what_to_choose(cast, as_account):
    answer = as_account(cast.ana_account).post(PAGE, {"member": cast.ana.pk, "do": "make", "shows": "all"})
    assert answer.status_code == 422
    assert "Choose what the calendar shows" in answer.content.decode()


def test_a_member_who_left_has_no_calendar(cast, job):
    address = address_of(cast.ana)
    cast.ana.left_on = TODAY
    cast.ana.save()
    assert Client().get(address).status_code == 404


def test_an_event_is_the_best_day_or_the_whole_window(cast, job):
    best = only_event(address_of(cast.ana))
    assert (best.decoded("dtstart"), best.decoded("dtend")) == (job.best_on, job.best_on + timedelta(days=1))
    whole = only_event(address_of(cast.ana, shows="window"))
    assert (whole.decoded("dtstart"), whole.decoded("dtend")) == (job.start_on, job.by_on + timedelta(days=1))


def test_the_same_jobs_are_the_same_bytes_and_are_not_sent_twice(cast, job):
    address = address_of(cast.ana)
    first = Client().get(address)
    with time_machine.travel(NOW + timedelta(days=3), tick=False):
        later = Client().get(address)
        unchanged = Client().get(address, headers={"if-none-match": first["ETag"]})
        head = Client().head(address)
    assert later.content == first.content
    assert [answer.status_code for answer in (unchanged, head)] == [304, 200]
    assert {answer["ETag"] for answer in (first, later, unchanged, head)} == {first["ETag"]}
    assert not first["ETag"].startswith("W/")
    assert first["Cache-Control"] == "private, max-age=900"
    assert (first["X-Robots-Tag"], first["Referrer-Policy"]) == ("noindex", "no-referrer")


def test_a_job_that_moves_keeps_its_name_and_counts_up(cast, job):
    address = address_of(cast.ana)
    before = only_event(address)
    until = TODAY + timedelta(days=9)
    job_record(job_key=job.key, outcome="put_off", on=until, account=None, now=NOW + timedelta(minutes=5))
    after = events(Client().get(address))[str(before["uid"])]
    assert after["sequence"] > before["sequence"]
    assert after.decoded("dtstart") >= until > before.decoded("dtstart")
    assert after.decoded("dtstamp") > before.decoded("dtstamp")


def test_a_done_job_stands_on_its_day(cast, job):
    address = address_of(cast.ana)
    job_record(job_key=job.key, outcome="done", on=TODAY, account=None, now=NOW)
    event = events(Client().get(address))[f"{job.key}@commonrow.example"]
    assert event.decoded("dtstart") == TODAY
    assert str(event["summary"]).startswith("Done: ")
    assert event["status"] == "CONFIRMED"


@pytest.mark.parametrize("why", ["not needed", "no longer asked for", "cleared"])
def test_what_is_called_off_stays_thirty_days(cast, job, why):
    address = address_of(cast.ana)
    if why == "not needed":
        Job.objects.update(state="not_needed", moves=1, worked_out_at=NOW)
    elif why == "cleared":
        Job.objects.update(worked_out_at=NOW)
        Sowing.objects.update(state="cleared", ended_on=TODAY)
    else:
        Job.objects.update(is_asked=False, moves=1, worked_out_at=NOW)
    assert only_event(address)["status"] == "CANCELLED"
    for days, count in [(29, 1), (30, 0)]:
        with time_machine.travel(NOW + timedelta(days=days), tick=False):
            assert len(events(Client().get(address))) == count


def test_a_job_that_nobody_was_ever_asked_to_do_is_not_called_off(cast, job):
    Job.objects.update(is_asked=False, moves=0, worked_out_at=NOW)
    assert events(Client().get(address_of(cast.ana))) == {}


def test_helpers_read_the_plot_and_others_do_not(cast, job):
    assert len(events(Client().get(address_of(cast.ben)))) == 1
    assert events(Client().get(address_of(cast.col))) == {}


def test_nobody_else_is_named(cast, job):
    body = Client().get(address_of(cast.ben)).content.decode().replace("\r\n ", "")
    assert "Ben" in body
    assert not any(name in body for name in ("Ana", "Col", "Dee"))


def test_fifty_jobs_cost_no_more_questions_than_one(cast, job, django_assert_num_queries):
    def questions(address, count):
        with django_assert_num_queries(count):
            Client().get(address)

    address = address_of(cast.ana)
    Client().get(address)
    questions(address, 5)
    sowing = job.sowing
    for stage in range(1, 50):
        make_job(sowing, "weed", start_on=TODAY, stage=stage)
    questions(address, 5)


def test_a_member_without_ground_has_an_empty_calendar(cast):
    idle = make_member(cast.society, "Idle Ivy", joined_on=date(2020, 1, 1))
    make_account(idle, since=date(2020, 1, 1))
    assert events(Client().get(address_of(idle))) == {}


def test_ground_given_up_leaves_the_calendar(cast, job):
    plot = make_plot(cast.site, "11", laid_out_on=date(2020, 1, 1), corner=(30.0, 0.0))
    make_tenancy(plot, cast.col, since=date(2020, 1, 1), until=TODAY - timedelta(days=1))
    make_job(make_sowing(make_bed(plot, "bed 1", since=date(2020, 1, 1)), season=2027), start_on=TODAY)
    assert events(Client().get(address_of(cast.col))) == {}


def test_a_change_that_leaves_no_instant_behind_is_sent_all_the_same(cast, job):
    """A bed renamed, a plot given up: a program that knows dates only is given the file, not 'unchanged'."""
    address = address_of(cast.ana)
    first = Client().get(address)
    cast.bed.name = "the long bed"
    cast.bed.save()
    asked = {"if-none-match": first["ETag"], "if-modified-since": "Tue, 13 Apr 2027 08:00:00 GMT"}
    renamed = Client().get(address, headers=asked)
    assert (renamed.status_code, "long bed" in renamed.content.decode()) == (200, True)
    cast.plot.tenancies.update(until=TODAY)
    with time_machine.travel(NOW + timedelta(days=2), tick=False):
        gone = Client().get(address, headers={"if-modified-since": asked["if-modified-since"]})
    assert (gone.status_code, events(gone)) == (200, {})
