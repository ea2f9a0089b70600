"""Beds are laid, moved, split, joined and dug anew; the ground's past stays exactly where it was."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import pytest

from plots.bed_checks import StandsThere
from plots.bed_digging import beds_dig
from plots.bed_drafts import BedPlan, Digging, plan_like
from plots.bed_rows import BedRow, row_outlines
from plots.bed_shapes import cut_equal, joined, long_side, moved, turned
from plots.carrying import Carry, container_carry, plot_carry
from plots.changes import StaleRow
from plots.ground_services import ground_check
from plots.models import Bed, GroundVerdict, Patch, Sowing
from plots.outlines import rectangle
from plots.sowing_services import sowing_place
from society.models import JournalEntry
from tests import factories as make
from tests.clipping import area, shared_area
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
SINCE, TODAY = date(2024, 1, 1), date(2027, 4, 1)
NOW = make.instant(TODAY)
PAST: dict[str, Any] = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 8, 1)}


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE, normals=False)


def dig(cast: make.Cast, closing: Sequence[Bed], plans: Sequence[BedPlan], **fields: Any) -> Digging:
    wish = {"on": TODAY, "account": None, "now": NOW, **fields}
    return beds_dig(plot=cast.plot, closing=closing, plans=plans, **wish)


def verdicts() -> list[tuple[Any, ...]]:
    rows = GroundVerdict.objects.order_by("sowing")
    return [(row.sowing_id, row.level, row.area_m2, row.share, row.free_from_season) for row in rows]


@pytest.mark.parametrize(
    ("turn_deg", "along_m", "across_m"), [(12, 1.2, 0.2), (-9, 1.3, 0.9), (30, 2.2, 0.1), (0, 1.5, 0.3)]
)
def test_a_bed_dug_anew_as_two_at_an_angle_warns_for_exactly_the_ground_they_share(
    cast: make.Cast, turn_deg: float, along_m: float, across_m: float
) -> None:
    make.make_sowing(cast.bed, season=2026, **PAST)
    old = cast.bed.outline
    outlines = row_outlines(
        cast.plot.outline, BedRow(2, 4.0, 1.0, 0.4), along_m=along_m, across_m=across_m, stands_away=False,
        turn_deg=turn_deg,
    )  # fmt: skip
    plans = [BedPlan(name, outline) for name, outline in zip("AB", outlines, strict=True)]

    digging = dig(cast, [cast.bed], plans, action="bed.dug_anew")

    for bed in digging.laying:
        sowing = sowing_place(
            plot=cast.plot, bed=bed, crop_key="carrot-early", member=None, account=None, now=NOW
        )
        expected = shared_area(bed.outline, old)
        assert 0.3 < expected < 3.99  # some of each bed, not all of it
        assert sowing.verdict.level == "broken"
        assert sowing.verdict.area_m2 == pytest.approx(expected, abs=1e-6)
        assert sowing.verdict.share == pytest.approx(expected / area(bed.outline), abs=1e-6)


def test_dug_anew_the_old_bed_stays_on_record_with_its_days(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2026, **PAST)
    was = sowing.patch.outline

    dig(cast, [cast.bed], [BedPlan("bed 1", rectangle((1, 5), length_m=4, width_m=1))])

    old = Bed.objects.get(pk=cast.bed.pk)
    patch = Patch.objects.get(pk=sowing.patch_id)
    assert (old.since, old.until) == (SINCE, TODAY)
    assert (patch.outline, patch.bed_id) == (was, cast.bed.pk)
    assert Bed.objects.get(plot=cast.plot, name="bed 1", until__isnull=True).since == TODAY


def test_splitting_joining_and_turning_beds_changes_no_verdict(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, season=2026, outline=rectangle((1, 1), length_m=2, width_m=1.2), **PAST)
    standing = make.make_sowing(cast.bed, season=2027)
    ground_check(site=cast.site, now=NOW)
    before, seen = verdicts(), [standing.pk]
    assert [row[1:4] for row in before] == [("broken", pytest.approx(2.4), pytest.approx(0.4))]

    parts = cut_equal(cast.bed.outline, long_side(cast.bed.outline), 3)
    plans = [
        plan_like(cast.bed, part, name=f"bed 1{letter}") for letter, part in zip("abc", parts, strict=True)
    ]
    split = dig(cast, [cast.bed], plans, action="bed.split", standing_seen=seen).laying
    ground_check(site=cast.site, now=NOW)
    assert verdicts() == before

    whole = joined(joined(parts[0], parts[1], reach_m=0.1), parts[2], reach_m=0.1)
    [bed] = dig(cast, split, [BedPlan("bed 1", whole)], action="bed.joined", standing_seen=seen).laying
    ground_check(site=cast.site, now=NOW)
    assert verdicts() == before

    # Turned about its middle, 2 m further into the plot.
    plan = plan_like(bed, moved(turned(bed.outline, 25), east_m=1, north_m=2))
    dig(cast, [bed], [plan], action="bed.moved", standing_seen=seen)
    ground_check(site=cast.site, now=NOW)
    assert verdicts() == before
    standing.patch.refresh_from_db()
    assert standing.patch.outline == rectangle((1, 1), length_m=5, width_m=1.2)


def test_what_stands_is_asked_about_and_its_patch_never_moves(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY)
    plan = plan_like(cast.bed, moved(cast.bed.outline, east_m=0, north_m=3))

    with pytest.raises(StandsThere, match=r"Carrot, early stands in bed 1 \(2027\), and stays where it is"):
        dig(cast, [cast.bed], [plan], action="bed.moved")
    assert Bed.objects.filter(plot=cast.plot, until__isnull=True).get() == cast.bed

    dig(cast, [cast.bed], [plan], action="bed.moved", standing_seen=[sowing.pk])
    sowing.patch.refresh_from_db()
    assert sowing.patch.outline == cast.bed.outline
    assert sowing.patch.bed_id == cast.bed.pk  # the new bed does not hold it


def test_an_answer_covers_only_what_was_read(cast: make.Cast) -> None:
    seen = make.make_sowing(cast.bed, season=2027, outline=rectangle((1, 1), length_m=2, width_m=1.2))
    make.make_sowing(cast.bed, season=2027, outline=rectangle((4, 1), length_m=2, width_m=1.2))

    with pytest.raises(StandsThere):
        dig(cast, [cast.bed], [plan_like(cast.bed, cast.bed.outline)], standing_seen=[seen.pk])


def test_what_stands_wholly_in_a_new_bed_goes_under_its_name(cast: make.Cast) -> None:
    outline = rectangle((1, 1), length_m=2, width_m=1.2)
    sowing = make.make_sowing(cast.bed, season=2027, outline=outline)
    halves = cut_equal(cast.bed.outline, 0)
    plans = [
        plan_like(cast.bed, half, name=name) for name, half in zip(("west", "east"), halves, strict=True)
    ]

    digging = dig(cast, [cast.bed], plans, action="bed.split", standing_seen=[sowing.pk])

    sowing.patch.refresh_from_db()
    assert (sowing.patch.bed, sowing.patch.outline) == (digging.laying[0], outline)


def test_a_bed_over_the_edge_is_refused_with_distance_and_side(cast: make.Cast) -> None:
    plan = BedPlan("bed 2", rectangle((15.3, 4), length_m=5, width_m=1.2))
    said = refused(dig, cast=cast, closing=[], plans=[plan])
    assert said["outline"].startswith("it would stick out 0.30 m over the east side of plot 7")


def test_of_a_row_every_bed_that_cannot_be_is_named(cast: make.Cast) -> None:
    outlines = row_outlines(
        cast.plot.outline, BedRow(3, 5, 1.2, 0.4), along_m=4, across_m=2, stands_away=True, turn_deg=0
    )
    names = ["bed 2", "bed 1", "bed 2"]
    plans = [BedPlan(name, outline) for name, outline in zip(names, outlines, strict=True)]
    said = refused(dig, cast=cast, closing=[], plans=plans)["beds"]

    assert "bed 2: 0.24 m² of it lie over bed 1" in said  # 1.2 m by the 0.2 m between 2 and 2.2 m
    assert "bed 1: there is a bed called bed 1 on this plot already" in said
    assert "bed 2: there is a bed called bed 2 on this plot already" in said
    assert Bed.objects.filter(plot=cast.plot).count() == 1


def test_a_bed_may_lie_where_another_was_closed(cast: make.Cast) -> None:
    dig(cast, [cast.bed], [plan_like(cast.bed, cast.bed.outline)])
    assert Bed.objects.filter(plot=cast.plot, name="bed 1").count() == 2


def test_two_beds_of_one_name_are_refused(cast: make.Cast) -> None:
    plan = BedPlan("Bed 1", rectangle((1, 4), length_m=5, width_m=1))
    assert "another name" in refused(dig, cast=cast, closing=[], plans=[plan])["name"]


def test_a_container_needs_its_height(cast: make.Cast) -> None:
    plan = BedPlan("tub", rectangle((1, 4), length_m=1, width_m=1), "container")
    assert "height in metres" in refused(dig, cast=cast, closing=[], plans=[plan])["height_m"]


def test_a_bed_is_not_laid_out_on_land_given_up(cast: make.Cast) -> None:
    cast.plot.given_up_on = date(2026, 12, 31)
    cast.plot.save()
    plan = BedPlan("bed 2", rectangle((1, 4), length_m=1, width_m=1))
    assert "given up on 2026-12-31" in refused(dig, cast=cast, closing=[], plans=[plan])["plot"]


def test_a_bed_closes_after_what_stood_in_it(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, season=2026, **PAST)
    said = refused(
        dig, cast=cast, closing=[cast.bed], plans=[plan_like(cast.bed, cast.bed.outline)], on=date(2026, 7, 1)
    )
    assert "Carrot, early stood in it until 2026-08-01" in said["on"]


def test_a_bed_changed_meanwhile_is_not_dug(cast: make.Cast) -> None:
    with pytest.raises(StaleRow):
        dig(cast, [cast.bed], [plan_like(cast.bed, cast.bed.outline)], versions={cast.bed.pk: 0})


def test_the_journal_says_what_became_of_a_bed(cast: make.Cast) -> None:
    [bed] = dig(cast, [cast.bed], [plan_like(cast.bed, cast.bed.outline)], action="bed.moved").laying

    moved_on = JournalEntry.objects.get(action="bed.moved")
    laid = JournalEntry.objects.get(action="bed.created")
    assert (moved_on.subject_id, moved_on.values["fields"]) == (str(cast.bed.pk), ["until"])
    assert (laid.subject_id, laid.values["instead_of"]) == (str(bed.pk), [cast.bed.pk])


def tub(cast: make.Cast) -> Bed:
    return make.make_bed(
        cast.plot, "tub", since=SINCE, outline=rectangle((10, 4), length_m=1, width_m=1), kind="container",
        height_m=0.6,
    )  # fmt: skip


def test_a_container_moves_with_its_mix_and_keeps_its_verdict(cast: make.Cast) -> None:
    bed = tub(cast)
    make.make_sowing(bed, season=2026, **PAST)
    sowing = make.make_sowing(bed, season=2027)
    ground_check(site=cast.site, now=NOW)
    before = verdicts()
    assert before[0][1] == "broken"

    container_carry(bed=bed, carry=Carry(east_m=2, turn_deg=30), account=None, now=NOW)
    ground_check(site=cast.site, now=NOW)

    sowing.patch.refresh_from_db()
    assert verdicts() == [
        (
            *before[0][:2],
            pytest.approx(before[0][2], abs=1e-3),
            pytest.approx(before[0][3], abs=1e-3),
            before[0][4],
        )
    ]
    assert sowing.patch.min_x > 11.7


def test_a_container_is_not_dug_anew(cast: make.Cast) -> None:
    bed = tub(cast)
    said = refused(dig, cast=cast, closing=[bed], plans=[plan_like(bed, bed.outline)])
    assert "its mix goes with it" in said["beds"]


def test_a_plot_entered_in_the_wrong_place_moves_with_its_history(cast: make.Cast) -> None:
    half = rectangle((1, 1), length_m=2, width_m=1.2)
    make.make_sowing(cast.bed, season=2026, outline=half, **PAST)
    make.make_sowing(cast.bed, season=2027)
    ground_check(site=cast.site, now=NOW)
    before = verdicts()

    plot = plot_carry(plot=cast.plot, carry=Carry(-40, 25, 12), account=None, now=NOW)

    after = verdicts()
    assert [row[:2] for row in after] == [row[:2] for row in before]
    assert after[0][2] == pytest.approx(before[0][2], abs=1e-3)
    assert area(plot.outline) == pytest.approx(160, abs=1e-2)
    bed = Bed.objects.get(pk=cast.bed.pk)
    assert shared_area(bed.outline, plot.outline) == pytest.approx(area(bed.outline), abs=1e-6)


def test_a_plot_is_not_moved_over_another(cast: make.Cast) -> None:
    said = refused(plot_carry, plot=cast.plot, carry=Carry(*_towards(cast)), account=None, now=NOW)
    assert "belong to plot 8" in said["outline"]
    assert Sowing.objects.count() == 0


def _towards(cast: make.Cast) -> tuple[float, float]:
    (x, y), (u, v) = cast.plot.outline[0], cast.other_plot.outline[0]
    return u - x, v - y - 4


@pytest.mark.parametrize("far", [float("nan"), 1e9])
def test_nothing_is_carried_off_the_site(far: float) -> None:
    assert "off the site" in refused(Carry, east_m=far)["east_m"]
