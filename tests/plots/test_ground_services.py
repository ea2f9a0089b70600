"""Stored sowings are judged against everything on record under them, and the verdicts kept."""

from datetime import UTC, date, datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from plots.ground_selectors import GroundRecordFault
from plots.ground_services import ground_check, sowings_ground_check
from plots.models import GroundVerdict, Patch, Sowing
from plots.outlines import rectangle
from tests import factories

SINCE = date(2010, 1, 1)
NOW = datetime(2025, 3, 1, 9, tzinfo=UTC)

pytestmark = pytest.mark.django_db


@pytest.fixture
def cast() -> factories.Cast:
    return factories.make_cast(since=SINCE, normals=False)


def grown(bed: object, crop: str, season: int, **fields: object) -> Sowing:
    return factories.make_sowing(bed, crop, season=season, state=Sowing.State.LIFTED, **fields)


def levels(found: list) -> list[str]:
    return [finding.verdict.level.value for finding in found]


def test_parsnips_two_seasons_ago_break_the_rest_of_carrots(cast: factories.Cast) -> None:
    grown(cast.bed, "parsnip", 2023)
    sowing = factories.make_sowing(cast.bed, season=2025)

    ground_check(site=cast.site, now=NOW)

    stored = GroundVerdict.objects.get(sowing=sowing)
    assert (stored.level, stored.free_from_season) == ("broken", 2029)
    assert (stored.area_m2, stored.share) == (pytest.approx(6.0), pytest.approx(1.0))
    assert "carrot" in stored.values["family_name"]
    assert "Table 10" in stored.source


def test_a_bed_that_was_dug_again_under_another_name_keeps_its_past(cast: factories.Cast) -> None:
    grown(cast.bed, "carrot-maincrop", 2024)
    crosswise = rectangle((2.0, 0.0), length_m=5, width_m=1.2, angle_deg=90)
    new_bed = factories.make_bed(cast.plot, "new bed", since=date(2025, 1, 1), outline=crosswise)
    factories.make_sowing(new_bed, season=2025)

    [finding] = ground_check(site=cast.site, now=NOW)

    # 1.2 m of the old bed's width, and x from 1 m (where it begins) to 2 m: 1.2 m².
    assert finding.verdict.area_m2 == pytest.approx(1.2 * 1.0, abs=1e-9)


def test_ground_that_another_plot_worked_counts(cast: factories.Cast) -> None:
    grown(cast.other_bed, "carrot-early", 2024)
    bed = factories.make_bed(cast.plot, "moved fence", since=SINCE, outline=cast.other_bed.outline)
    factories.make_sowing(bed, season=2025)

    assert levels(ground_check(site=cast.site, now=NOW)) == ["broken"]


def test_a_plot_without_a_record_is_not_called_rested(cast: factories.Cast) -> None:
    cast.plot.record_since = None
    cast.plot.save()
    factories.make_sowing(cast.bed, season=2025)

    assert levels(ground_check(site=cast.site, now=NOW)) == ["no record"]


def test_a_plan_that_nobody_confirmed_is_only_a_possible_past(cast: factories.Cast) -> None:
    factories.make_sowing(cast.bed, "carrot-early", season=2024, state=Sowing.State.PLANNED)
    factories.make_sowing(cast.bed, season=2025)

    assert levels(ground_check(site=cast.site, now=NOW)) == ["possible"]


def test_a_patch_remembered_roughly_is_only_a_possible_past(cast: factories.Cast) -> None:
    rough = factories.make_patch(cast.bed, outline=cast.plot.outline, is_coarse=True)
    Sowing.objects.create(patch=rough, crop="parsnip", season=2024, last_season=2024, state="lifted")
    factories.make_sowing(cast.bed, season=2025)

    assert levels(ground_check(site=cast.site, now=NOW)) == ["possible"]


def test_next_years_plan_is_judged_against_this_years(cast: factories.Cast) -> None:
    factories.make_sowing(cast.bed, "carrot-early", season=2025)
    factories.make_sowing(cast.bed, "parsnip", season=2026)

    assert levels(ground_check(site=cast.site, now=NOW)) == ["sound", "broken"]


def test_a_crop_still_in_the_ground_from_last_season_is_judged_with_the_rest(cast: factories.Cast) -> None:
    factories.make_sowing(cast.bed, "parsnip", season=2024, last_season=2025, state=Sowing.State.SOWN)

    assert levels(ground_check(site=cast.site, now=NOW)) == ["sound"]


def test_the_season_is_the_sites_own(cast: factories.Cast) -> None:
    cast.site.season_month = 7
    cast.site.save()
    factories.make_sowing(cast.bed, season=2024)  # its growing year runs to June 2025

    assert len(ground_check(site=cast.site, now=NOW)) == 1


def test_a_season_gone_by_can_be_asked_for(cast: factories.Cast) -> None:
    grown(cast.bed, "parsnip", 2020)
    grown(cast.bed, "carrot-early", 2021)

    assert levels(ground_check(site=cast.site, now=NOW, season=2021)) == ["broken"]


def test_one_plot_alone_can_be_asked_for(cast: factories.Cast) -> None:
    mine = factories.make_sowing(cast.bed, season=2025)
    factories.make_sowing(cast.other_bed, season=2025)

    assert [each.sowing for each in ground_check(site=cast.site, now=NOW, plot=cast.plot)] == [mine]


def test_judging_twice_changes_nothing(cast: factories.Cast) -> None:
    grown(cast.bed, "parsnip", 2023)
    factories.make_sowing(cast.bed, season=2025)
    ground_check(site=cast.site, now=NOW)
    before = list(GroundVerdict.objects.values())

    ground_check(site=cast.site, now=NOW.replace(hour=12))

    assert list(GroundVerdict.objects.values()) == before


def test_a_changed_record_changes_the_verdict_and_keeps_an_overruling(cast: factories.Cast) -> None:
    sowing = factories.make_sowing(cast.bed, season=2025)
    ground_check(site=cast.site, now=NOW)
    GroundVerdict.objects.update(overruled_by=cast.dee, overruled_because="new topsoil")
    grown(cast.bed, "parsnip", 2023)

    ground_check(site=cast.site, now=NOW)

    stored = GroundVerdict.objects.get(sowing=sowing)
    assert (stored.level, stored.overruled_by, stored.overruled_because) == (
        "broken",
        cast.dee,
        "new topsoil",
    )


def test_a_change_to_one_sowing_judges_the_others_on_its_ground(cast: factories.Cast) -> None:
    planned = factories.make_sowing(cast.bed, "parsnip", season=2026)
    elsewhere = factories.make_sowing(cast.other_bed, season=2026)
    new = factories.make_sowing(cast.bed, season=2025)

    found = sowings_ground_check(sowings=[new], now=NOW)

    assert {each.sowing for each in found} == {planned, new}
    assert GroundVerdict.objects.get(sowing=planned).level == "broken"
    assert not GroundVerdict.objects.filter(sowing=elsewhere).exists()


def test_a_crop_nobody_knows_is_named_and_nothing_is_saved(cast: factories.Cast) -> None:
    factories.make_sowing(cast.other_bed, season=2025)
    wrong = factories.make_sowing(cast.bed, "carot-early", season=2025)

    with pytest.raises(GroundRecordFault, match=rf"plot 7, sowing {wrong.pk} .*unknown crop 'carot-early'"):
        ground_check(site=cast.site, now=NOW)
    assert not GroundVerdict.objects.exists()


def test_an_outline_that_crosses_itself_is_named(cast: factories.Cast) -> None:
    sowing = factories.make_sowing(cast.bed, season=2025)
    Patch.objects.filter(pk=sowing.patch_id).update(outline=[[0, 0], [2, 2], [2, 0], [0, 2]])

    with pytest.raises(GroundRecordFault, match=rf"plot 7, sowing {sowing.pk} .*crosses"):
        ground_check(site=cast.site, now=NOW)


@pytest.mark.parametrize("count", [1, 30])
def test_the_number_of_queries_does_not_grow_with_the_sowings(cast: factories.Cast, count: int) -> None:
    for _ in range(count):
        grown(cast.bed, "parsnip", 2023)
        factories.make_sowing(cast.bed, season=2025)

    with CaptureQueriesContext(
        connection,
    ) as queries:
        found = ground_check(site=cast.site, now=NOW)

    assert len(found) == count
    # The keys of the sowings; the society's rules, two; the widest patch; then for the strip: its sowings
    # with patch, plot, bed and verdict; problems seen; earlier sowings, other uses; at last the verdicts.
    assert len(queries) == 9, [query["sql"][:80] for query in queries]
