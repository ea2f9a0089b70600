"""What is placed is planned at once, and what is cleared is asked for no longer."""

from datetime import date, timedelta
from typing import Any

import pytest

from plots.models import Sowing, Tenancy
from plots.placing import Strip
from plots.sowing_wishes import COVERS
from schedules.models import Job
from schedules.planner import Cover
from schedules.selectors import jobs_due_to_member
from schedules.sowing_services import (
    sowing_plan,
    sowing_plan_change,
    sowing_plan_clear,
    sowing_plan_withdraw,
    tenancy_close,
)
from society.dates import date_words
from tests import factories as make
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
SINCE, TODAY = date(2024, 1, 1), date(2027, 2, 1)
NOW = make.instant(TODAY)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


def wish(cast: make.Cast, **fields: Any) -> dict[str, Any]:
    base: dict[str, Any] = {
        "plot": cast.plot, "bed": cast.bed, "crop_key": "carrot-early", "season": 2027,
        "member": cast.ana, "account": None, "now": NOW,
    }  # fmt: skip
    return base | fields


def lifted_by(sowing: Sowing) -> date:
    return Job.objects.get(sowing=sowing, kind="lift").by_on


def test_the_covers_of_the_ground_are_those_of_the_planner() -> None:
    assert set(COVERS) == {cover.value for cover in Cover}


def test_a_sowing_is_placed_and_planned_in_one_step(cast: make.Cast) -> None:
    sowing = sowing_plan(**wish(cast))
    assert {"sow", "thin", "lift"} <= set(sowing.jobs.values_list("kind", flat=True))


def test_a_refused_sowing_leaves_no_jobs(cast: make.Cast) -> None:
    assert "place" in refused(sowing_plan, **wish(cast, place=Strip(9.0, 1.2)))
    assert not Sowing.objects.exists()
    assert not Job.objects.exists()


def test_a_crop_may_follow_another_in_one_season_once_that_is_lifted_by_its_plan(cast: make.Cast) -> None:
    first = sowing_plan(**wish(cast, crop_key="radish", sow_on=date(2027, 3, 20)))
    free = lifted_by(first)
    said = refused(sowing_plan, **wish(cast, crop_key="turnip", sow_on=free - timedelta(days=1)))
    assert f"sow on {date_words(free)} or later" in said["place"]
    assert sowing_plan(**wish(cast, crop_key="turnip", sow_on=free)).pk


def test_a_crop_may_go_before_another_if_its_own_plan_is_out_by_then(cast: make.Cast) -> None:
    sowing_plan(**wish(cast, crop_key="turnip", sow_on=date(2027, 7, 20)))
    assert "place" in refused(sowing_plan, **wish(cast, crop_key="parsnip", sow_on=date(2027, 4, 1)))
    assert sowing_plan(**wish(cast, crop_key="radish", sow_on=date(2027, 4, 1))).pk


def test_a_site_without_weather_takes_sowings_without_dates() -> None:
    cast = make.make_cast(since=SINCE, normals=False)
    assert not sowing_plan(**wish(cast)).jobs.exists()


def test_a_changed_day_moves_the_jobs_under_their_keys(cast: make.Cast) -> None:
    sowing = sowing_plan(**wish(cast, sow_on=date(2027, 4, 10)))
    before = {job.key: job.start_on for job in sowing.jobs.filter(kind="lift")}
    sowing_plan_change(sowing=sowing, version=1, account=None, now=NOW, sow_on=date(2027, 5, 10))
    after = {job.key: job.start_on for job in sowing.jobs.filter(kind="lift")}
    assert after.keys() == before.keys()
    assert all(after[key] > before[key] for key in after)


def test_what_is_cleared_is_asked_for_no_longer(cast: make.Cast) -> None:
    sowing = sowing_plan(**wish(cast, sow_on=TODAY))
    Sowing.objects.filter(pk=sowing.pk).update(state=Sowing.State.SOWN, sown_on=TODAY)
    sowing_plan_clear(sowing=sowing, on=TODAY, account=None, now=NOW)
    assert not Job.objects.filter(state="open", is_asked=True).exists()
    assert Job.objects.filter(sowing=sowing).exists()


def test_a_plan_withdrawn_takes_its_jobs_along(cast: make.Cast) -> None:
    sowing_plan_withdraw(sowing=sowing_plan(**wish(cast)), version=1, account=None, now=NOW)
    assert not Job.objects.exists()


def test_a_new_tenant_is_not_told_to_tend_what_was_cleared(cast: make.Cast) -> None:
    sowing = sowing_plan(**wish(cast, sow_on=TODAY))
    Sowing.objects.filter(pk=sowing.pk).update(state=Sowing.State.SOWN, sown_on=TODAY)
    held = Tenancy.objects.get(plot=cast.plot)
    ending = tenancy_close(tenancy=held, on=TODAY, reason="left", account=None, now=NOW)
    make.make_tenancy(cast.plot, cast.dee, since=TODAY)
    assert ending.cleared == 1
    assert jobs_due_to_member(cast.dee, today=TODAY, days=365) == []


def test_who_takes_the_crops_over_is_told_what_they_need(cast: make.Cast) -> None:
    sowing_plan(**wish(cast, sow_on=TODAY))
    held = Tenancy.objects.get(plot=cast.plot)
    tenancy_close(tenancy=held, on=TODAY, reason="death", passed_to=cast.dee, account=None, now=NOW)
    assert "sow" in [due.kind for due in jobs_due_to_member(cast.dee, today=TODAY)]
