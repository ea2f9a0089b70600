"""A sowing looked at before it is saved."""

from datetime import date
from typing import Any

import pytest

from plots.models import GroundVerdict, Patch, Sowing
from plots.placing import Strip
from plots.sowing_wishes import SowingWish
from schedules.models import Job, Outlook
from schedules.planner import sentence
from schedules.sowing_preview import SowingPreview, sowing_preview
from schedules.sowing_services import sowing_plan
from tests import factories as make
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
SINCE, TODAY = date(2010, 1, 1), date(2027, 2, 1)
NOW = make.instant(TODAY)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


def seen(cast: make.Cast, **fields: Any) -> SowingPreview:
    wish = {"plot": cast.plot, "bed": cast.bed, "crop_key": "carrot-early", "season": 2027} | fields
    return sowing_preview(wish=SowingWish(**wish), now=NOW)


def test_a_preview_saves_nothing(cast: make.Cast) -> None:
    preview = seen(cast)
    assert preview.plan is not None
    for model in (Sowing, Patch, GroundVerdict, Job, Outlook):
        assert not model.objects.exists()


def test_a_preview_shows_the_dates_that_saving_gives(cast: make.Cast) -> None:
    preview = seen(cast, sow_on=date(2027, 4, 10))
    sowing = sowing_plan(
        plot=cast.plot, bed=cast.bed, crop_key="carrot-early", season=2027, sow_on=date(2027, 4, 10),
        member=cast.ana, account=None, now=NOW,
    )  # fmt: skip
    assert preview.plan is not None
    shown = [(job.kind.value, job.stage, job.window.start, job.window.by) for job in preview.plan.jobs]
    saved = sowing.jobs.values_list("kind", "stage", "start_on", "by_on")
    assert sorted(shown) == sorted(saved)


def test_a_preview_gives_the_verdict_that_saving_keeps(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "parsnip", season=2025, state=Sowing.State.LIFTED)
    preview = seen(cast)
    assert preview.verdict.level.value == "broken"
    assert "2025" in preview.verdict_text


def test_seed_is_reckoned_for_the_rows_of_the_patch(cast: make.Cast) -> None:
    preview = seen(cast, crop_key="carrot-maincrop", place=Strip(3.0, 1.2))
    assert (preview.length_m, preview.width_m) == (pytest.approx(3.0), pytest.approx(1.2))
    needed, sand, *_ = preview.supplies
    # 3.6 m² at the crop's 0.3 m between rows; 100 seeds to the metre.
    assert (needed.values["row_m"], needed.values["seeds"]) == (12.0, 1200)
    assert "12 m of row" in sentence(needed)
    assert "dry sand" in sentence(sand)


def test_tubers_are_counted(cast: make.Cast) -> None:
    assert "seed tubers at hand" in sentence(seen(cast, crop_key="potato-early").supplies[0])


def test_a_preview_refuses_what_saving_would_refuse(cast: make.Cast) -> None:
    wish = SowingWish(cast.plot, cast.bed, "carrot-early", 2027, Strip(9.0, 1.2))
    assert "4.00 m over the east side" in refused(sowing_preview, wish=wish, now=NOW)["place"]


def test_a_site_without_weather_has_a_verdict_and_seed_but_no_dates() -> None:
    preview = seen(make.make_cast(since=SINCE, normals=False))
    assert preview.plan is None
    assert "no weather yet" in preview.no_plan_because
    assert preview.verdict.level.value == "sound"
    assert preview.supplies


def test_a_sowing_being_changed_does_not_stand_against_itself(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027)
    wish = SowingWish(cast.plot, cast.bed, "carrot-early", 2027, Strip(3.0, 1.2))
    assert sowing_preview(wish=wish, now=NOW, but=sowing).verdict.level.value == "sound"
