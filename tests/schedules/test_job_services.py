"""Recording a job: what is written, what is refused, and what follows moves."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from plots.models import Sowing
from schedules.job_services import StaleJob, job_record
from schedules.models import Job
from schedules.plan_services import site_replan, sowing_replan
from schedules.selectors import jobs_due
from society.models import JournalEntry
from tests import factories as make

pytestmark = pytest.mark.django_db
SINCE = date(2024, 1, 1)
TODAY = date(2027, 4, 20)
NOW = make.instant(TODAY)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


@pytest.fixture
def sowing(cast: make.Cast) -> Sowing:
    row = make.make_sowing(cast.bed, "carrot-maincrop", season=2027, sow_on=date(2027, 4, 18))
    sowing_replan(sowing=row, now=NOW)
    return row


def job_of(sowing: Sowing, kind: str) -> Job:
    return Job.objects.get(key=f"{sowing.key}/{kind}")


def test_sown_ground_is_noted_in_the_ground_record(sowing: Sowing, cast: make.Cast) -> None:
    key = job_of(sowing, "sow").key
    job_record(job_key=key, outcome="done", on=date(2027, 4, 19), account=cast.ana_account, now=NOW)
    sowing.refresh_from_db()
    assert (sowing.state, sowing.sown_on) == (Sowing.State.SOWN, date(2027, 4, 19))


def test_a_done_job_moves_what_follows(sowing: Sowing, cast: make.Cast) -> None:
    before = job_of(sowing, "lift").best_on
    key = job_of(sowing, "sow").key
    early = make.instant(TODAY)
    job_record(job_key=key, outcome="done", on=date(2027, 4, 5), account=cast.ana_account, now=early)
    assert job_of(sowing, "lift").best_on < before


def test_a_job_that_is_not_needed_holds_nothing_up(sowing: Sowing, cast: make.Cast) -> None:
    job_record(
        job_key=job_of(sowing, "cover").key, outcome="not_needed", on=TODAY, account=cast.ana_account, now=NOW
    )
    assert job_of(sowing, "cover").state == Job.State.NOT_NEEDED
    assert job_of(sowing, "lift").is_asked


def test_a_job_put_off_begins_no_earlier_than_asked(sowing: Sowing, cast: make.Cast) -> None:
    later = TODAY + timedelta(days=9)
    job = job_record(
        job_key=job_of(sowing, "sow").key, outcome="put_off", on=later, account=cast.ana_account, now=NOW
    )
    assert job.state == Job.State.OPEN
    assert job.start_on >= later


def test_saying_the_same_twice_changes_nothing(sowing: Sowing, cast: make.Cast) -> None:
    key = job_of(sowing, "sow").key
    for _ in range(2):
        job_record(job_key=key, outcome="done", on=TODAY, account=cast.ana_account, now=NOW)
    assert JournalEntry.objects.filter(subject_id=key).count() == 1


def test_a_stale_page_is_refused_and_nothing_is_overwritten(sowing: Sowing, cast: make.Cast) -> None:
    job = job_of(sowing, "sow")
    with pytest.raises(StaleJob):
        job_record(
            job_key=job.key,
            outcome="done",
            on=TODAY,
            account=cast.ana_account,
            now=NOW,
            version=job.moves + 1,
        )
    assert job_of(sowing, "sow").state == Job.State.OPEN


@pytest.mark.parametrize(
    ("outcome", "on"),
    [
        ("done", TODAY + timedelta(days=1)),
        ("done", date(2025, 1, 1)),
        ("put_off", TODAY),
        ("put_off", date(2029, 1, 1)),
        ("forgotten", TODAY),
    ],
)
def test_a_record_that_cannot_be_is_refused(sowing: Sowing, cast: make.Cast, outcome: str, on: date) -> None:
    key = job_of(sowing, "sow").key
    with pytest.raises(ValidationError):
        job_record(job_key=key, outcome=outcome, on=on, account=cast.ana_account, now=NOW)
    assert job_of(sowing, "sow").state == Job.State.OPEN


def test_lifting_ends_the_sowing_and_leaves_storing_to_do(sowing: Sowing, cast: make.Cast) -> None:
    job_record(job_key=job_of(sowing, "sow").key, outcome="done", on=TODAY, account=cast.ana_account, now=NOW)
    autumn = date(2027, 10, 10)
    job_record(
        job_key=job_of(sowing, "lift").key, outcome="done", on=autumn, account=cast.ana_account,
        now=make.instant(autumn),
    )  # fmt: skip
    sowing.refresh_from_db()
    assert (sowing.state, sowing.ended_on) == (Sowing.State.LIFTED, autumn)
    open_kinds = {job.kind for job in Job.objects.filter(sowing=sowing, state="open", is_asked=True)}
    assert open_kinds == {"store", "store_check"}


def test_a_finished_job_keeps_the_reason_it_had(sowing: Sowing, cast: make.Cast) -> None:
    """Whatever the weather, or another grower's record, does to the plans of those who asked the same."""
    like_it = make.make_sowing(cast.other_bed, "carrot-maincrop", season=2027, sow_on=date(2027, 4, 18))
    sowing_replan(sowing=like_it, now=NOW)
    assert job_of(sowing, "sow").explanation == job_of(like_it, "sow").explanation
    for key in (job_of(sowing, "sow").key, job_of(sowing, "cover").key):
        outcome = "done" if key.endswith("sow") else "not_needed"
        job_record(job_key=key, outcome=outcome, on=TODAY, account=cast.ana_account, now=NOW)
    kept = {kind: reason_of(job_of(sowing, kind)) for kind in ("sow", "cover")}
    for day in range(40):
        make.make_weather_day(cast.site, TODAY + timedelta(days=day), tmin_c=14.0, tmax_c=27.0)
    site_replan(site=cast.site, now=make.instant(TODAY + timedelta(days=40)))
    assert {kind: reason_of(job_of(sowing, kind)) for kind in ("sow", "cover")} == kept
    assert reason_of(job_of(like_it, "lift")) != reason_of(job_of(sowing, "sow"))


def reason_of(job: Job) -> tuple[object, ...]:
    return (job.rule, job.values, job.source, job.cautions, job.notes)


def test_the_journal_names_codes_and_no_people(sowing: Sowing, cast: make.Cast) -> None:
    key = job_of(sowing, "sow").key
    job_record(job_key=key, outcome="done", on=TODAY, account=cast.ana_account, now=NOW)
    entry = JournalEntry.objects.get(subject_id=key)
    assert (entry.action, entry.account_id_then) == ("job.done", cast.ana_account.pk)
    assert cast.ana.name not in str(entry.values)


def test_roots_lifted_after_the_turn_of_the_season_count_to_the_season_they_left(
    cast: make.Cast,
) -> None:
    sowing = make.make_sowing(cast.bed, "parsnip", season=2026, state="sown", sown_on=date(2026, 4, 10))
    winter = date(2027, 1, 20)
    sowing_replan(sowing=sowing, now=make.instant(winter))
    key = job_of(sowing, "lift").key
    job_record(job_key=key, outcome="done", on=winter, account=None, now=make.instant(winter))
    sowing.refresh_from_db()
    assert sowing.last_season == 2027


def test_storing_is_not_asked_for_while_the_roots_still_stand(sowing: Sowing, cast: make.Cast) -> None:
    autumn = date(2027, 9, 10)
    job_record(job_key=job_of(sowing, "sow").key, outcome="done", on=TODAY, account=None, now=NOW)
    sowing_replan(sowing=sowing, now=make.instant(autumn))
    kinds = {due.kind for due in jobs_due([cast.plot], today=autumn, days=60)}
    assert "lift" in kinds
    assert "store" not in kinds
