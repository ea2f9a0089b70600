"""Plans kept as jobs: what is written, what moves, and what stays."""

from collections.abc import Callable
from datetime import date, timedelta
from io import StringIO
from pathlib import Path

import pytest
import time_machine
from django.core.management import call_command

from plots.models import Sowing
from schedules.models import Explanation, Job, Outlook
from schedules.plan_selectors import job_rows, sowings_to_plan, sowings_wanted
from schedules.plan_services import all_replan, site_replan, sowing_replan
from tests import factories as make

pytestmark = pytest.mark.django_db
TODAY = date(2027, 2, 1)
SINCE = date(2024, 1, 1)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


def chain(sowing: Sowing) -> list[Job]:
    return list(Job.objects.filter(sowing=sowing).order_by("start_on", "best_on", "by_on"))


def test_a_planned_sowing_becomes_jobs_with_reasons_and_sources(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027)
    sowing_replan(sowing=sowing, now=make.instant(TODAY))
    kinds = {job.kind for job in chain(sowing)}
    assert {"sow", "cover", "thin", "weed", "lift"} <= kinds
    assert all(job.rule and job.source for job in chain(sowing))


def test_planning_twice_writes_nothing_the_second_time(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, season=2027)
    assert site_replan(site=cast.site, now=make.instant(TODAY)) > 0
    assert site_replan(site=cast.site, now=make.instant(TODAY)) == 0


def test_a_job_keeps_its_key_and_counts_its_moves_when_its_dates_move(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027, sow_on=date(2027, 4, 10))
    sowing_replan(sowing=sowing, now=make.instant(TODAY))
    before = {job.key: job for job in chain(sowing)}
    Sowing.objects.filter(pk=sowing.pk).update(sow_on=date(2027, 5, 10))
    sowing_replan(sowing=Sowing.objects.get(pk=sowing.pk), now=make.instant(TODAY))
    after = {job.key: job for job in chain(sowing) if job.is_asked}
    lift = next(key for key in after if key.endswith("/lift"))
    assert after[lift].start_on > before[lift].start_on
    assert after[lift].moves == before[lift].moves + 1


def test_a_warm_spell_observed_brings_the_jobs_forward(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027, sow_on=date(2027, 4, 10), sown_on=date(2027, 4, 10))
    Sowing.objects.filter(pk=sowing.pk).update(state=Sowing.State.SOWN)
    later = date(2027, 5, 20)
    sowing_replan(sowing=sowing, now=make.instant(later))
    before = Job.objects.get(key=f"{sowing.key}/lift").best_on
    for day in range((later - date(2027, 4, 10)).days):
        make.make_weather_day(cast.site, date(2027, 4, 10) + timedelta(days=day), tmin_c=12.0, tmax_c=24.0)
    site_replan(site=cast.site, now=make.instant(later))
    assert Job.objects.get(key=f"{sowing.key}/lift").best_on < before


def test_what_the_plan_asks_for_no_longer_is_hidden_and_kept(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027, sow_on=date(2027, 3, 10))
    sowing_replan(sowing=sowing, now=make.instant(TODAY))
    assert Job.objects.filter(sowing=sowing, kind="cover", is_asked=True).exists()
    type(cast.site).objects.filter(pk=cast.site.pk).update(insects=[])
    cast.site.refresh_from_db()
    site_replan(site=cast.site, now=make.instant(TODAY))
    assert Job.objects.get(sowing=sowing, kind="cover").is_asked is False


def test_a_sowing_of_an_earlier_season_that_was_never_sown_asks_for_nothing(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2026)
    site_replan(site=cast.site, now=make.instant(TODAY))
    assert not chain(sowing)


def test_the_outlook_keeps_the_season_for_sowing_and_when_the_rows_show(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027)
    sowing_replan(sowing=sowing, now=make.instant(TODAY))
    outlook = Outlook.objects.get(sowing=sowing)
    assert outlook.sow_from <= outlook.sow_best <= outlook.sow_by
    assert outlook.sow_from < outlook.shows_best


def test_a_site_without_weather_has_no_dates_and_no_fault(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027)
    cast.site.normals.all().delete()
    assert site_replan(site=cast.site, now=make.instant(TODAY)) == 0
    assert not chain(sowing)


def test_one_sowing_that_cannot_be_planned_does_not_stop_the_rest(cast: make.Cast) -> None:
    odd = make.make_sowing(cast.bed, season=2027, sow_on=date(1950, 1, 1))
    sound = make.make_sowing(cast.other_bed, season=2027)
    site_replan(site=cast.site, now=make.instant(TODAY))
    assert chain(sound)
    assert Outlook.objects.filter(sowing=odd).exists()


def test_ground_that_carried_the_family_last_year_warns_of_trapped_flies(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "parsnip", season=2026, state=Sowing.State.LIFTED)
    sowing = make.make_sowing(cast.bed, season=2027)
    sowing_replan(sowing=sowing, now=make.instant(TODAY))
    assert any(
        warning["rule"] == "cover_traps_flies" for warning in Outlook.objects.get(sowing=sowing).warnings
    )


@pytest.mark.parametrize("count", [1, 12])
def test_the_number_of_queries_does_not_grow_with_the_sowings(
    cast: make.Cast, count: int, django_assert_max_num_queries: object
) -> None:
    for _ in range(count):
        make.make_sowing(cast.bed, season=2027)
    with django_assert_max_num_queries(28):  # type: ignore[operator]
        site_replan(site=cast.site, now=make.instant(TODAY))


def test_those_who_ask_the_same_are_told_the_same_by_one_row_each(cast: make.Cast) -> None:
    first, second = (make.make_sowing(bed, season=2027) for bed in (cast.bed, cast.other_bed))
    site_replan(site=cast.site, now=make.instant(TODAY))
    told = [{job.key[37:]: job.explanation_id for job in chain(each)} for each in (first, second)]
    assert told[0] == told[1]
    assert Explanation.objects.count() == len(told[0]) + 1  # one for the outlook that they share


def test_what_nothing_refers_to_is_swept_away(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027)
    site_replan(site=cast.site, now=make.instant(TODAY))
    Sowing.objects.filter(pk=sowing.pk).update(sow_on=date(2027, 4, 20))
    site_replan(site=cast.site, now=make.instant(TODAY))
    used = {job.explanation_id for job in chain(sowing)} | {sowing.outlook.explanation_id}
    assert set(Explanation.objects.values_list("pk", flat=True)) == used


def test_a_warm_month_gives_jobs_other_reasons_and_says_when(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027)
    site_replan(site=cast.site, now=make.instant(TODAY))
    before = {job.key: job for job in chain(sowing)}
    for day in range(30):
        make.make_weather_day(cast.site, TODAY + timedelta(days=day), tmin_c=9.0, tmax_c=18.0)
    site_replan(site=cast.site, now=make.instant(TODAY + timedelta(days=30)))
    after = {job.key: job for job in chain(sowing) if job.is_asked and job.key in before}
    changed = {key for key in after if after[key].explanation_id != before[key].explanation_id}
    assert changed
    assert all(after[key].worked_out_at > before[key].worked_out_at for key in changed)


def test_a_sowing_changed_while_the_site_is_planned_is_left_to_its_change(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027)
    wanted = sowings_to_plan(cast.site, season=2027)
    Sowing.objects.filter(pk=sowing.pk).update(version=2)
    assert [row.pk for row in wanted] == [sowing.pk]
    assert sowings_wanted(cast.site, wanted) == []


def recorded_meanwhile(monkeypatch: pytest.MonkeyPatch, happens: Callable[[], object]) -> None:
    """Let something happen between the reading of the jobs and the writing."""

    def read_and_overtaken(sowings: list[int]) -> object:
        rows = job_rows(sowings)
        happens()
        return rows

    monkeypatch.setattr("schedules.plan_services.job_rows", read_and_overtaken)


@pytest.mark.parametrize("what", ["a job", "a new job", "the sowing", "a withdrawal"])
def test_what_is_changed_while_the_site_is_planned_is_left_to_its_change(
    cast: make.Cast, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    sowing = make.make_sowing(cast.bed, season=2027, sow_on=date(2027, 4, 10))
    other = make.make_sowing(cast.other_bed, season=2027, sow_on=date(2027, 4, 10))
    site_replan(site=cast.site, now=make.instant(TODAY))
    before = {job.key: job.by_on for job in Job.objects.all()}
    Sowing.objects.update(sow_on=date(2027, 5, 10))
    happenings = {
        "a job": lambda: sowing.jobs.filter(kind="lift").update(moves=7),
        "a new job": lambda: make.make_job(sowing, "resow", stage=9, start_on=TODAY),
        "the sowing": lambda: Sowing.objects.filter(pk=sowing.pk).update(version=2),
        "a withdrawal": lambda: Sowing.objects.filter(pk=sowing.pk).delete(),
    }
    recorded_meanwhile(monkeypatch, happenings[what])
    site_replan(site=cast.site, now=make.instant(TODAY))
    after = {job.key: job.by_on for job in Job.objects.all()}
    mine = {key for key in before if key.startswith(str(sowing.key))}
    assert {key: after[key] for key in mine & after.keys()} == {
        key: before[key] for key in mine & after.keys()
    }
    assert after[f"{other.key}/lift"] > before[f"{other.key}/lift"]


def test_an_imported_record_is_planned_by_at_once(cast: make.Cast, tmp_path: Path) -> None:
    sowing = make.make_sowing(cast.bed, season=2027, not_before=date(2026, 3, 1))
    Sowing.objects.filter(pk=sowing.pk).update(season=2026, last_season=2026)
    record = tmp_path / "record.csv"
    rows = (f"{date(2026, 3, 1) + timedelta(days=day)},9,19" for day in range(60))
    record.write_text("\n".join(["date,tmin_c,tmax_c", *rows]))
    report = StringIO()
    with time_machine.travel(make.instant(date(2026, 5, 1)), tick=False):
        call_command("weather_import", str(record), site=cast.site.slug, stdout=report)
    assert Job.objects.filter(sowing=sowing, kind="sow").exists()
    assert "Plans worked out again" in report.getvalue()


def test_what_still_stands_in_a_new_season_counts_for_it(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, "parsnip", season=2026, state="sown", sown_on=date(2026, 4, 10))
    site_replan(site=cast.site, now=make.instant(TODAY))
    sowing.refresh_from_db()
    assert sowing.last_season == 2027


def test_the_nightly_work_judges_the_ground_as_well(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "parsnip", season=2025, state=Sowing.State.LIFTED)
    sowing = make.make_sowing(cast.bed, season=2027)
    all_replan(now=make.instant(TODAY))
    sowing.refresh_from_db()
    assert sowing.verdict.level == "broken"
