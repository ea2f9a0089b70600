"""Telling what became of a job."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse

from schedules.models import Job
from society.models import JournalEntry
from tests.factories import make_job, make_sowing
from tests.schedules.pages.conftest import TODAY


@pytest.fixture
def job(cast) -> Job:
    sowing = make_sowing(cast.bed, "radish", season=2027, state="sown", sown_on=date(2027, 3, 10))
    return make_job(sowing, "weed", start_on=TODAY)


def send(client: Client, job: Job, **fields):
    data = {"version": job.moves, "outcome": "done", "done_on": TODAY.isoformat(), **fields}
    return client.post(reverse("job-record", args=[job.pk]), data)


def test_done_is_recorded_with_its_day(cast, as_account, job):
    yesterday = TODAY - timedelta(days=1)

    send(as_account(cast.ana_account), job, done_on=yesterday.isoformat())

    job.refresh_from_db()
    assert (job.state, job.done_on) == ("done", yesterday)


def test_the_next_page_says_what_was_recorded(cast, as_account, job):
    client = as_account(cast.ana_account)

    answer = send(client, job)

    assert answer.url == reverse("this-week")
    assert "Recorded: Weed radish, done today." in client.get(answer.url).content.decode()


def test_not_needed_asks_for_no_day(cast, as_account, job):
    send(as_account(cast.ana_account), job, outcome="not_needed", done_on="")

    job.refresh_from_db()
    assert job.state == "not_needed"


def test_put_off_keeps_the_job_open_until_its_day(cast, as_account, job):
    send(as_account(cast.ana_account), job, outcome="put_off", put_off_until="2027-04-20")

    job.refresh_from_db()
    assert (job.state, job.put_off_until) == ("open", date(2027, 4, 20))


def test_a_helper_may_record(cast, as_account, job):
    send(as_account(cast.ben_account), job)

    job.refresh_from_db()
    assert job.state == "done"


def test_the_committee_records_for_those_who_have_no_account(cast, as_account, job):
    send(as_account(cast.dee_account), job)

    assert JournalEntry.objects.filter(action="job.done", account_id_then=cast.dee_account.pk).exists()


def test_a_job_of_another_plot_does_not_exist(cast, as_account, job):
    answer = send(as_account(cast.col_account), job)

    job.refresh_from_db()
    assert (answer.status_code, job.state) == (404, "open")


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"done_on": "31.02.2027"}, "Done on: “31.02.2027” is not a date. Write year, month and day"),
        ({"done_on": ""}, "Done on: the day is missing. Enter it, like 2027-04-12."),
        ({"done_on": "2027-04-13"}, "Done on: 13 April 2027 is still to come"),
        ({"done_on": "2027-03-01"}, "Done on: 1 March 2027 is before 10 March 2027"),
        (
            {"outcome": "put_off", "put_off_until": ""},
            "Put off until: the day is missing. Enter it, like 2027-04-13.",
        ),
        (
            {"outcome": "put_off", "put_off_until": "2027-04-12"},
            "Put off until: 12 April 2027 does not put it off; choose a day after 12 April 2027",
        ),
        ({"outcome": "eaten"}, "Say what became of the job"),
        ({"version": "many"}, "The page was incomplete"),
    ],
)
def test_a_day_that_cannot_be_is_named_with_its_field(cast, as_account, job, fields, words):
    answer = send(as_account(cast.ana_account), job, **fields)

    job.refresh_from_db()
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert (job.state, job.put_off_until) == ("open", None)


def test_a_bad_day_of_the_button_not_pressed_does_not_count(cast, as_account, job):
    send(as_account(cast.ana_account), job, put_off_until="never")

    job.refresh_from_db()
    assert job.state == "done"


def test_a_job_that_moved_meanwhile_is_not_overwritten(cast, as_account, job):
    Job.objects.filter(pk=job.pk).update(moves=job.moves + 1, by_on=TODAY + timedelta(days=9))

    answer = send(as_account(cast.ana_account), job)

    job.refresh_from_db()
    page = answer.content.decode()
    assert (answer.status_code, job.state) == (409, "open")
    assert "Nothing was overwritten" in page
    assert "by 21 April" in page


def test_a_job_that_somebody_else_recorded_says_so(cast, as_account, job):
    send(as_account(cast.ben_account), job, done_on="2027-04-11")

    answer = send(as_account(cast.ana_account), job)

    assert answer.status_code == 409
    assert "recorded as done on 11 April 2027" in answer.content.decode()


def test_the_same_record_sent_twice_is_one_record(cast, as_account, job):
    client = as_account(cast.ana_account)
    send(client, job)

    again = send(client, job)

    assert again.status_code == 302
    assert JournalEntry.objects.filter(action="job.done").count() == 1


def test_a_form_without_its_signature_records_nothing(cast, job):
    client = Client(enforce_csrf_checks=True)
    client.force_login(cast.ana_account)

    answer = send(client, job)

    job.refresh_from_db()
    assert (answer.status_code, job.state) == (403, "open")
    assert "The form was too old to be taken" in answer.content.decode()
