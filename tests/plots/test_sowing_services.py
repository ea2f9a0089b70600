"""Sowings are placed on ground that is there and free, and refused with where and by how much."""

import re
from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from plots.changes import StaleRow
from plots.models import GroundVerdict, Patch, Sowing
from plots.outlines import rectangle
from plots.placing import Strip
from plots.sowing_services import sowing_change, sowing_clear, sowing_place, sowing_withdraw
from plots.sowing_wishes import Surroundings
from society.models import JournalEntry
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
        "member": cast.ana, "account": cast.ana_account, "now": NOW,
    }  # fmt: skip
    return base | fields


def placed(cast: make.Cast, **fields: Any) -> Sowing:
    return sowing_place(**wish(cast, **fields))


def said_of(cast: make.Cast, **fields: Any) -> dict[str, str]:
    return refused(sowing_place, **wish(cast, **fields))


def test_a_strip_is_measured_from_the_first_corner_of_its_bed(cast: make.Cast) -> None:
    sowing = placed(cast, place=Strip(2.0, 0.6, along_m=1.0, across_m=0.3))
    assert sowing.patch.outline == [[2.0, 1.3], [4.0, 1.3], [4.0, 1.9], [2.0, 1.9]]
    assert (sowing.state, sowing.planned_by, sowing.made_at) == (Sowing.State.PLANNED, cast.ana, NOW)


def test_without_a_place_the_whole_bed_is_sown(cast: make.Cast) -> None:
    assert placed(cast).patch.outline == cast.bed.outline


def test_the_verdict_is_kept_with_the_sowing(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "parsnip", season=2025, state=Sowing.State.LIFTED)
    assert GroundVerdict.objects.get(sowing=placed(cast)).level == "broken"


def test_a_placing_is_journalled_by_codes(cast: make.Cast) -> None:
    sowing = placed(cast, variety="Ana's own")
    entry = JournalEntry.objects.get(action="sowing.placed")
    assert entry.values["key"] == str(sowing.key)
    assert "own" not in str(entry.values)


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.floats(0.02, 3.9))
def test_outside_its_bed_a_sowing_is_refused_with_how_far(cast: make.Cast, by_m: float) -> None:
    said = said_of(cast, place=Strip(1.0, 1.0, along_m=4.0 + by_m, across_m=0.1))["place"]
    [metres] = re.findall(r"stick out (\d+\.\d\d) m over the east side of bed 1", said)
    assert float(metres) == pytest.approx(by_m, abs=0.01)
    assert not Sowing.objects.exists()
    assert not Patch.objects.exists()


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(st.floats(0, 4), st.floats(0, 0.2))
def test_inside_its_bed_a_sowing_is_accepted(cast: make.Cast, along_m: float, across_m: float) -> None:
    sowing = placed(cast, place=Strip(1.0, 1.0, along_m, across_m))
    assert sowing.patch.area_m2 == pytest.approx(1.0, abs=1e-3)
    sowing.delete()


def test_without_a_bed_a_patch_lies_on_the_plot(cast: make.Cast) -> None:
    sowing = placed(cast, bed=None, place=rectangle((8, 5), length_m=2, width_m=2, angle_deg=20))
    assert sowing.patch.bed is None


def test_without_bed_and_place_the_place_is_asked_for(cast: make.Cast) -> None:
    assert "say where on the plot" in said_of(cast, bed=None)["place"]


def test_ground_in_use_is_refused_with_the_area_and_the_crop(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "parsnip", season=2026, state=Sowing.State.SOWN, sown_on=date(2026, 4, 1))
    said = said_of(cast, place=Strip(2.0, 1.2))["place"]
    assert (
        said
        == "2.40 m² of it lie over Parsnip, which stands there; move the patch, or lift or clear that first"
    )


def test_ground_planned_for_the_season_is_refused(cast: make.Cast) -> None:
    placed(cast, crop_key="turnip", place=Strip(3.0, 1.2))
    said = said_of(cast, place=Strip(3.0, 1.2, along_m=2.0))["place"]
    assert "1.20 m² of it lie over Turnip, which is planned there for 2027" in said


def test_strips_side_by_side_are_no_clash(cast: make.Cast) -> None:
    placed(cast, place=Strip(2.5, 1.2))
    assert placed(cast, crop_key="turnip", place=Strip(2.5, 1.2, along_m=2.5)).pk


def test_next_years_plan_may_lie_on_this_years_crop(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "turnip", season=2027, state=Sowing.State.SOWN, sown_on=date(2027, 1, 20))
    assert placed(cast, season=2028).season == 2028


def test_what_still_stands_from_last_year_is_in_the_way_this_year(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "parsnip", season=2026, state=Sowing.State.SOWN, sown_on=date(2026, 4, 1))
    assert "place" in said_of(cast)


@pytest.mark.parametrize("season", [2027, 2028, 2030])
def test_a_perennial_keeps_its_ground_until_it_is_out(cast: make.Cast, season: int) -> None:
    make.make_sowing(cast.bed, "rhubarb", season=2024, sown_on=date(2024, 3, 1), state=Sowing.State.SOWN)
    words = said_of(cast, season=season)["place"]
    assert "over Rhubarb, which stands there for years" in words

    Sowing.objects.update(state=Sowing.State.CLEARED, ended_on=date(2026, 11, 1))
    assert placed(cast, season=season).patch.outline == cast.bed.outline


def test_a_perennial_that_is_planned_takes_its_ground_from_then_on(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "asparagus", season=2028)
    assert placed(cast, season=2027).season == 2027
    assert "which is planned there for 2028" in said_of(cast, season=2029)["place"]


def test_ground_lifted_is_free_from_that_day(cast: make.Cast) -> None:
    fields = {"state": Sowing.State.LIFTED, "sown_on": date(2027, 1, 5), "ended_on": date(2027, 1, 30)}
    make.make_sowing(cast.bed, "radish", season=2027, **fields)
    assert "stood there until 30 January 2027" in said_of(cast, sow_on=date(2027, 1, 29))["place"]
    assert placed(cast, sow_on=date(2027, 1, 30)).pk


def test_a_crop_may_follow_when_the_plan_before_it_is_out(cast: make.Cast) -> None:
    first = placed(cast, crop_key="radish", sow_on=date(2027, 3, 1))

    def around(draft: Sowing) -> Surroundings:
        return Surroundings(free_by={first.pk: date(2027, 5, 1)})

    early = said_of(cast, sow_on=date(2027, 4, 30), around=around)["place"]
    assert "sow on 1 May 2027 or later" in early
    assert placed(cast, sow_on=date(2027, 5, 1), around=around).pk


def test_what_is_planned_to_stand_over_winter_is_in_the_way_in_the_next_season(cast: make.Cast) -> None:
    first = placed(cast, crop_key="parsnip", sow_on=date(2027, 4, 1))
    free = {first.pk: date(2028, 3, 1)}
    said = said_of(
        cast, season=2028, sow_on=date(2028, 2, 20), around=lambda draft: Surroundings(free_by=free)
    )
    assert "sow on 1 March 2028 or later" in said["place"]


def test_a_crop_that_is_late_is_still_in_the_way(cast: make.Cast) -> None:
    late = make.make_sowing(cast.bed, "radish", season=2027, state="sown", sown_on=date(2027, 1, 2))
    free = {late.pk: date(2027, 1, 25)}
    said = said_of(cast, sow_on=TODAY, around=lambda draft: Surroundings(free_by=free))
    assert "which stands there" in said["place"]


def test_a_quick_crop_may_go_before_one_planned_later(cast: make.Cast) -> None:
    placed(cast, crop_key="turnip", sow_on=date(2027, 7, 1))
    quick = placed(
        cast, crop_key="radish", sow_on=date(2027, 4, 1),
        around=lambda draft: Surroundings(ends=date(2027, 6, 1)),
    )  # fmt: skip
    assert quick.pk


@pytest.mark.parametrize(
    ("sow_on", "words"),
    [(date(2027, 2, 20), "is there from 1 March 2027 on"), (date(2027, 6, 1), "was closed on 1 June 2027")],
)
def test_a_bed_that_was_not_there_then_is_refused(cast: make.Cast, sow_on: date, words: str) -> None:
    outline = rectangle((8, 4), length_m=2, width_m=1)
    bed = make.make_bed(cast.plot, "bed 2", since=date(2027, 3, 1), until=date(2027, 6, 1), outline=outline)
    assert words in said_of(cast, bed=bed, sow_on=sow_on)["bed"]


def test_a_bed_of_another_plot_is_refused(cast: make.Cast) -> None:
    assert "not on plot 7" in said_of(cast, bed=cast.other_bed)["bed"]


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"crop_key": "carot-early"}, "crop_key", "did you mean carrot-early"),
        ({"cover": "straw"}, "cover", "none, clear"),
        ({"variety": "x" * 61}, "variety", "at most 60"),
        ({"sow_on": date(2028, 4, 1)}, "sow_on", "choose the season 2028"),
        ({"sow_on": date(2027, 4, 1), "not_before": date(2027, 5, 1)}, "not_before", "leave it empty"),
        ({"season": 2026}, "season", "is over"),
        ({"season": 20270}, "season", "too far off"),
        ({"place": Strip(-1.0, 1.0)}, "length_m", "0.05 m or more"),
        ({"place": Strip(1.0, 1.0, along_m=float("inf"))}, "along_m", "first corner"),
        ({"place": [[0, 0], [1, 1]]}, "place", "at least three corners"),
    ],
)
def test_what_cannot_be_is_refused_by_field_with_a_remedy(
    cast: make.Cast, fields: dict[str, Any], field: str, words: str
) -> None:
    assert words in said_of(cast, **fields)[field]
    assert not Sowing.objects.exists()


def test_a_plan_is_moved_and_its_old_patch_goes(cast: make.Cast) -> None:
    sowing = placed(cast, place=Strip(2.0, 1.2))
    changed = sowing_change(
        sowing=sowing, version=1, account=None, now=NOW, place=Strip(2.0, 1.2, along_m=1.0)
    )
    assert changed.patch.outline[0] == [2.0, 1.0]
    assert (changed.version, Patch.objects.count()) == (2, 1)


def test_a_changed_crop_is_judged_again(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "parsnip", season=2025, state=Sowing.State.LIFTED)
    sowing = placed(cast, crop_key="turnip")
    sowing_change(sowing=sowing, version=1, account=None, now=NOW, crop_key="carrot-early")
    assert GroundVerdict.objects.get(sowing=sowing).level == "broken"


def test_a_bed_reshaped_does_not_stand_in_the_way_of_a_new_variety(cast: make.Cast) -> None:
    sowing = placed(cast)
    type(cast.bed).objects.update(outline=rectangle((1, 4), length_m=1, width_m=1))
    changed = sowing_change(sowing=sowing, version=1, account=None, now=NOW, variety="Early Round")
    assert changed.variety == "Early Round"


def test_a_stale_change_of_a_sowing_is_refused(cast: make.Cast) -> None:
    sowing = placed(cast)
    sowing_change(sowing=sowing, version=1, account=None, now=NOW, variety="Early Round")
    with pytest.raises(StaleRow, match="variety"):
        sowing_change(sowing=sowing, version=1, account=None, now=NOW, variety="Long Red")


def test_what_stands_does_not_move(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027, state=Sowing.State.SOWN, sown_on=TODAY)
    said = refused(
        sowing_change, sowing=sowing, version=1, account=None, now=NOW, crop_key="turnip", cover="fleece"
    )
    assert "is in the ground" in said["crop_key"]
    changed = sowing_change(sowing=sowing, version=1, account=None, now=NOW, cover="fleece")
    assert changed.cover == "fleece"


def test_clearing_keeps_the_ground_record(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2026, state=Sowing.State.SOWN, sown_on=date(2026, 6, 1))
    cleared = sowing_clear(sowing=sowing, on=TODAY, version=1, account=None, now=NOW)
    assert (cleared.state, cleared.ended_on, cleared.last_season) == (Sowing.State.CLEARED, TODAY, 2027)
    assert placed(cast, sow_on=TODAY).pk


def test_a_plan_is_withdrawn_and_not_cleared(cast: make.Cast) -> None:
    sowing = placed(cast)
    assert (
        "withdraw the plan" in refused(sowing_clear, sowing=sowing, on=TODAY, account=None, now=NOW)["sowing"]
    )
    sowing_withdraw(sowing=sowing, version=1, account=None, now=NOW)
    assert not Patch.objects.exists()
    assert JournalEntry.objects.get(action="sowing.withdrawn").values["crop"] == "carrot-early"


def test_withdrawing_a_plan_frees_the_plans_that_it_stood_against(cast: make.Cast) -> None:
    type(cast.plot).objects.update(record_since=2000)
    first = placed(cast, crop_key="parsnip")
    second = placed(cast, season=2028)
    assert GroundVerdict.objects.get(sowing=second).level == "broken"
    sowing_withdraw(sowing=first, account=None, now=NOW)
    assert GroundVerdict.objects.get(sowing=second).level == "sound"


def test_a_record_that_cannot_be_read_saves_nothing(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, "carot", season=2028)
    assert "unknown crop 'carot'" in said_of(cast)["place"]
    assert Sowing.objects.count() == 1
