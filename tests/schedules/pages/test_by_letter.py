"""The link under a job in a letter: it opens that job, records on a post, and nothing else."""

from datetime import UTC, date, datetime, timedelta

import pytest
import time_machine
from django.core.signing import Signer
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from schedules.job_links import OPEN_FOR, SALT, job_link
from schedules.journal_reading import journal_lines, journal_of
from schedules.models import Job
from society.models import AccountMember
from tests.factories import make_absence, make_job, make_sowing

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
TODAY = NOW.date()


@pytest.fixture
def job(cast):
    sowing = make_sowing(cast.bed, season=2027, state="sown", sown_on=date(2027, 3, 20))
    return make_job(sowing, "weed", start_on=TODAY)


def link_of(job, member, *, reader=None):
    told = job_link(jobs=[job.pk], member=member.pk, reader=(reader or member).pk, today=TODAY)
    return told.removeprefix("http://127.0.0.1:8000")


def answer_of(job, outcome, **fields):
    return {
        "job": str(job.pk),
        "outcome": outcome,
        "version": str(job.moves),
        "done_on": "2027-04-12",
        **fields,
    }


def test_looking_changes_nothing_and_asks_once(cast, job):
    link = link_of(job, cast.ana)
    for _ in range(3):
        page = Client().get(link)
        Client().head(link)
    assert page.status_code == 200
    assert "Nothing is recorded before you press" in page.content.decode()
    assert page.cookies == {}
    assert page["Referrer-Policy"] == "no-referrer"
    job.refresh_from_db()
    assert (job.state, job.moves) == ("open", 0)


@pytest.mark.parametrize(
    ("outcome", "stands"),
    [
        ("done", ("done", TODAY, None)),
        ("not_needed", ("not_needed", None, None)),
        ("put_off", ("open", None, date(2027, 4, 20))),
    ],
)
def test_each_answer_is_recorded_without_log_in_or_cookie(cast, job, outcome, stands):
    client = Client(enforce_csrf_checks=True)
    answer = client.post(link_of(job, cast.ana), answer_of(job, outcome, put_off_until="2027-04-20"))
    assert answer.status_code == 302
    job.refresh_from_db()
    assert (job.state, job.done_on, job.put_off_until) == stands


def test_after_recording_the_page_says_what_is_recorded(cast, job):
    page = Client().post(link_of(job, cast.ana), answer_of(job, "done"), follow=True)
    assert "It is recorded: done on 12 April 2027." in page.content.decode()


def test_the_journal_says_who_answered(cast, job):
    Client().post(link_of(job, cast.ana), answer_of(job, "done"))
    line = journal_lines(journal_of())[0]
    assert line.who == "Ana Orchard, by letter"


def test_a_second_answer_to_what_changed_is_refused(cast, job):
    link = link_of(job, cast.ana)
    Client().post(link, answer_of(job, "done"))
    again = Client().post(link, answer_of(job, "not_needed"))
    assert again.status_code == 409
    assert "nothing was recorded" in again.content.decode()
    job.refresh_from_db()
    assert job.state == "done"


def test_the_same_answer_twice_is_one(cast, job):
    link = link_of(job, cast.ana)
    answers = [Client().post(link, answer_of(job, "done")).status_code for _ in range(2)]
    assert answers == [302, 302]
    assert journal_of().count() == 1


def test_a_day_that_cannot_be_is_refused_with_its_field(cast, job):
    page = Client().post(link_of(job, cast.ana), answer_of(job, "done", done_on="2027-04-13"))
    assert page.status_code == 422
    assert "Done on: 13 April 2027 is still to come" in page.content.decode()


def test_it_ends_after_five_weeks(cast, job):
    link = link_of(job, cast.ana)
    for days, code in [(OPEN_FOR.days, 200), (OPEN_FOR.days + 1, 410)]:
        with time_machine.travel(NOW + timedelta(days=days), tick=False):
            assert Client().get(link).status_code == code


def test_it_opens_nothing_once_the_plot_is_another_s(cast, job):
    link = link_of(job, cast.ana)
    cast.plot.tenancies.update(until=TODAY)
    assert Client().get(link).status_code == 404
    assert Client().post(link, answer_of(job, "done")).status_code == 404


def test_it_opens_nothing_to_who_left(cast, job):
    link = link_of(job, cast.ana)
    cast.ana.left_on = TODAY
    cast.ana.save()
    assert Client().get(link).status_code == 404


def test_a_stand_in_s_link_holds_while_they_stand_in(cast, job):
    link = link_of(job, cast.ana, reader=cast.col)
    assert Client().get(link).status_code == 404
    make_absence(cast.ana, cast.col, since=TODAY, until=TODAY + timedelta(days=7), accepted_at=NOW)
    assert Client().get(link).status_code == 200
    with time_machine.travel(NOW + timedelta(days=8), tick=False):
        assert Client().get(link).status_code == 404


def test_it_opens_no_other_job_and_no_other_page(cast, job):
    other = make_job(make_sowing(cast.other_bed, season=2027), start_on=TODAY)
    assert Client().get(link_of(other, cast.ana)).status_code == 404
    page = Client().get(link_of(job, cast.ana)).content.decode()
    assert f"/plots/{cast.plot.pk}/" not in page
    assert not AccountMember.objects.filter(member=cast.ana, since=TODAY).exists()


def test_one_link_opens_the_same_work_in_several_beds_and_records_each_by_itself(cast, job):
    twin = make_job(
        make_sowing(cast.bed, season=2027, state="sown", sown_on=job.sowing.sown_on), "weed", start_on=TODAY
    )
    other = make_job(make_sowing(cast.other_bed, season=2027), start_on=TODAY)
    told = job_link(jobs=[job.pk, twin.pk, other.pk], member=cast.ana.pk, reader=cast.ana.pk, today=TODAY)
    link = told.removeprefix("http://127.0.0.1:8000")
    page = Client().get(link).content.decode()
    assert page.count('name="job"') == 2  # the third is on ground that is not hers

    Client().post(link, answer_of(twin, "done"))
    refused = [Client().post(link, answer_of(each, "done")) for each in (other,)]

    assert [answer.status_code for answer in refused] == [422]
    assert {each.pk: each.state for each in Job.objects.filter(pk__in=[job.pk, twin.pk, other.pk])} == {
        job.pk: "open",
        twin.pk: "done",
        other.pk: "open",
    }


@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(at=st.integers(0, 60), sign=st.characters(codec="ascii", categories=["L", "N"]))
def test_a_bent_link_opens_nothing(cast, job, at, sign):
    good = link_of(job, cast.ana).split("/")[-2]
    bent = good[:at] + sign + good[at + 1 :]
    if bent != good:
        assert Client().get(f"/jobs/by-letter/{bent}/").status_code == 404


@pytest.mark.parametrize("stuff", [{}, [], "x", [1, 2], [None] * 4, ["a", "b", "c", "d"]])
def test_a_link_signed_over_something_else_opens_nothing(cast, job, stuff):
    token = Signer(salt=SALT).sign_object(stuff)
    assert Client().get(f"/jobs/by-letter/{token}/").status_code == 404
    assert Job.objects.get().state == "open"
