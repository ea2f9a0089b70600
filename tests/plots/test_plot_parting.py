"""Plots are halved and merged again; tenancies, beds and the record of the ground stay readable."""

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from plots.bed_shapes import cut_along, cut_equal
from plots.ground_services import ground_check
from plots.models import Bed, CoWorker, GroundVerdict, Plot, Tenancy
from plots.outlines import polygon, rectangle
from plots.plot_drafts import Parting
from plots.plot_lineage import former_plots, later_plots, record_of_plot
from plots.plot_parting import plot_halve, plots_merge
from society.models import JournalEntry
from tests import factories as make
from tests.clipping import area
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
SINCE, TODAY = date(2020, 1, 1), date(2027, 4, 1)
NOW = make.instant(TODAY)
LAND = rectangle((60, 0), length_m=20, width_m=8)
PAST: dict[str, Any] = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 8, 1)}


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE, normals=False)


@pytest.fixture
def plot(cast: make.Cast) -> Plot:
    """A vacant plot of 20 m by 8 m whose record is complete since 2021, with a bed of 5 m by 1.2 m."""
    plot = make.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(60, 0), record_since=2021)
    make.make_bed(plot, since=SINCE, corner=(61, 1))
    return plot


def halve(plot: Plot, outlines: Any = None, **fields: Any) -> Parting:
    wish = {"numbers": ["9a", "9b"], "on": TODAY, "account": None, "now": NOW, **fields}
    return plot_halve(plot=plot, outlines=outlines or cut_equal(plot.outline, 0), **wish)


def verdict_of(sowing: Any) -> tuple[Any, ...]:
    row = GroundVerdict.objects.get(sowing=sowing)
    return row.level, row.rule, row.area_m2, row.share, row.free_from_season


def test_a_halved_plot_ends_and_two_begin_on_its_land(plot: Plot) -> None:
    halve(plot)

    plot.refresh_from_db()
    one, other = Plot.objects.filter(number__in=["9a", "9b"]).order_by("number")
    assert plot.given_up_on == one.laid_out_on == other.laid_out_on == TODAY
    assert (one.area_m2, other.area_m2, one.record_since) == (Decimal("80.00"), Decimal("80.00"), 2021)
    assert area(one.outline) + area(other.outline) == pytest.approx(160, abs=1e-3)
    assert former_plots(one) == former_plots(other) == [plot]
    assert later_plots(plot) == [one, other]


def test_a_bed_goes_on_under_the_new_number_and_the_old_one_stays_closed(plot: Plot) -> None:
    old = plot.beds.get()
    halve(plot)

    new = Bed.objects.get(plot__number="9a")
    old.refresh_from_db()
    assert (old.plot, old.until) == (plot, TODAY)
    assert (new.name, new.outline, new.since) == ("bed 1", old.outline, TODAY)


def test_a_bed_across_the_line_becomes_two(plot: Plot) -> None:
    halve(plot, cut_along(plot.outline, 0, 4))  # the bed reaches from 1 to 6 m

    parts = Bed.objects.filter(plot__number__in=["9a", "9b"]).order_by("plot__number")
    assert [(bed.name, area(bed.outline)) for bed in parts] == [
        ("bed 1", pytest.approx(3 * 1.2)), ("bed 1", pytest.approx(2 * 1.2)),
    ]  # fmt: skip


def test_what_too_little_is_left_of_is_no_bed(plot: Plot) -> None:
    halve(plot, cut_along(plot.outline, 0, 5.8))  # 0.2 m by 1.2 m beyond the line

    assert list(Bed.objects.filter(until__isnull=True, plot__number__startswith="9").values_list(
        "plot__number", flat=True
    )) == ["9a"]  # fmt: skip


def test_the_record_of_a_half_shows_what_was_grown_there_under_the_old_number(plot: Plot) -> None:
    bed = plot.beds.get()
    west = make.make_sowing(bed, season=2026, **PAST)
    there = make.make_bed(plot, "bed 2", since=SINCE, corner=(72, 1))
    east = make.make_sowing(there, "parsnip", season=2025, state="lifted", ended_on=date(2025, 9, 1))

    halve(plot)

    one, other = Plot.objects.filter(number__in=["9a", "9b"]).order_by("number")
    assert record_of_plot(one) == [west]
    assert record_of_plot(other) == [east]
    assert record_of_plot(plot) == [east, west]
    west.patch.refresh_from_db()
    assert west.patch.plot == plot


def test_halving_and_merging_again_changes_no_verdict(plot: Plot) -> None:
    bed = plot.beds.get()
    part = rectangle((61, 1), length_m=2, width_m=1.2)
    past = make.make_sowing(bed, season=2026, outline=part, **PAST)
    planned = make.make_sowing(bed, season=2027)
    ground_check(site=plot.site, now=NOW)
    before = verdict_of(planned)
    assert before[0] == "broken"

    parting = halve(plot)
    assert verdict_of(planned) == before
    planned.patch.refresh_from_db()
    assert (planned.patch.plot.number, planned.patch.bed.plot.number) == ("9a", "9a")

    plots_merge(plots=parting.making, number="9 again", on=TODAY, account=None, now=NOW)
    assert verdict_of(planned) == before
    whole = Plot.objects.get(number="9 again")
    assert polygon(whole.outline).symmetric_difference(polygon(plot.outline)).area < 1e-3
    assert whole.record_since == 2021
    assert record_of_plot(whole) == [past, planned]


def test_a_container_goes_along_with_its_mix(plot: Plot) -> None:
    tub = make.make_bed(
        plot, "tub", since=SINCE, outline=rectangle((75, 4), length_m=1, width_m=1), kind="container",
        height_m=0.5,
    )  # fmt: skip
    make.make_sowing(tub, season=2026, **PAST)
    planned = make.make_sowing(tub, season=2027)
    ground_check(site=plot.site, now=NOW)
    before = verdict_of(planned)
    assert before[0] == "broken"

    halve(plot)

    tub.refresh_from_db()
    assert (tub.plot.number, tub.until) == ("9b", None)
    assert verdict_of(planned) == before


def test_a_held_plot_is_not_halved_until_it_is_said_who_keeps_which_half(cast: make.Cast) -> None:
    said = refused(halve, plot=cast.plot)
    assert said["keeper"] == (
        "plot 7 is held by Ana Orchard; say which half they keep, or end the tenancy first"
    )
    assert Plot.objects.get(pk=cast.plot.pk).given_up_on is None


def test_the_tenancy_goes_on_upon_the_half_that_is_kept(cast: make.Cast) -> None:
    Tenancy.objects.filter(plot=cast.plot).update(rent_due=Decimal("40.00"), key_note="key 12")

    halve(cast.plot, keeper=1)

    old, new = Tenancy.objects.filter(holders=cast.ana).order_by("since")
    assert (old.plot, old.until, old.ended_because) == (cast.plot, TODAY, "moved")
    assert (new.plot.number, new.since, new.until) == ("9b", TODAY, None)
    assert (new.rent_due, new.key_note) == (Decimal("40.00"), "key 12")
    helper = CoWorker.objects.get(member=cast.ben, until__isnull=True)
    assert (helper.plot, helper.since) == (new.plot, TODAY)


def test_what_stands_is_not_left_on_the_half_that_nobody_holds(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY)

    said = refused(halve, plot=cast.plot, keeper=1)

    assert said["keeper"].startswith(
        "Carrot, early stands in bed 1 (2027), on the half that nobody would hold"
    )
    assert halve(cast.plot, keeper=0).making[0].number == "9a"


def test_what_stands_across_the_line_stops_it(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, season=2027)
    said = refused(halve, plot=cast.plot, outlines=cut_along(cast.plot.outline, 0, 4), keeper=0)
    assert (
        "Carrot, early is planned in bed 1 (2027), across the line; move or withdraw the plan" in said["at_m"]
    )


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"numbers": ["7", "9b"]}, "number", "there is a plot 7"),
        ({"numbers": ["9", "9b"]}, "number", "there is a plot 9"),
        ({"numbers": ["x", "X"]}, "number", "two numbers"),
        ({"numbers": ["", "9b"]}, "number", "missing"),
        ({"on": date(2027, 4, 2)}, "on", "to today, 2027-04-01"),
        ({"on": date(2019, 1, 1)}, "on", "give a day from 2020-01-01"),
        ({"outlines": cut_along(LAND, 0, 0.5)}, "at_m", "4.0 m² is no plot"),
    ],
)  # fmt: skip
def test_a_halving_that_cannot_be_is_refused_by_field(
    plot: Plot, fields: dict[str, Any], field: str, words: str
) -> None:
    assert words in refused(halve, plot=plot, **fields)[field]
    assert not Plot.objects.filter(number="9b").exists()


def test_a_plot_on_offer_is_not_halved(cast: make.Cast, plot: Plot) -> None:
    entry = make.make_waiting_entry(cast.site, cast.ben, asked_on=SINCE)
    make.make_offer(entry, plot, made_on=TODAY, lapses_on=TODAY)
    assert "is offered to Ben Hurdle until 2027-04-01" in refused(halve, plot=plot)["plot"]


def beside(cast: make.Cast, number: str = "10", corner: tuple[float, float] = (60, 8), **fields: Any) -> Plot:
    return make.make_plot(cast.site, number, laid_out_on=SINCE, corner=corner, **fields)


def merge(*plots: Plot) -> Parting:
    return plots_merge(plots=plots, number="9/10", on=TODAY, account=None, now=NOW)


def test_two_plots_become_one_and_beds_of_one_name_are_told_apart(cast: make.Cast, plot: Plot) -> None:
    other = beside(cast, record_since=2023)
    make.make_bed(other, since=SINCE, corner=(61, 9))

    [whole] = merge(plot, other).making

    assert (whole.area_m2, whole.record_since) == (Decimal("320.00"), 2023)
    assert sorted(whole.beds.values_list("name", flat=True)) == ["bed 1", "bed 1 of 10"]
    entry = JournalEntry.objects.filter(action="plot.merged").first()
    assert entry is not None
    assert entry.values["plots"] == [whole.pk]


def test_a_record_with_gaps_leaves_the_merged_one_with_gaps(cast: make.Cast, plot: Plot) -> None:
    assert merge(plot, beside(cast)).making[0].record_since is None


def test_a_hedge_between_is_closed_and_a_path_is_not(cast: make.Cast, plot: Plot) -> None:
    assert "they lie 1.50 m apart" in refused(_merged, plots=[plot, beside(cast, corner=(60, 9.5))])["other"]
    near = beside(cast, "11", corner=(60, -8.2))
    [whole] = merge(plot, near).making
    assert area(whole.outline) == pytest.approx(20 * 16.2, abs=1e-2)


def test_plots_that_meet_in_a_corner_are_not_merged(cast: make.Cast, plot: Plot) -> None:
    assert "a corner only" in refused(_merged, plots=[plot, beside(cast, corner=(80, 8))])["other"]


def test_plots_of_different_holders_are_not_merged(cast: make.Cast, plot: Plot) -> None:
    other = beside(cast)
    make.make_tenancy(plot, cast.ana, since=SINCE)
    make.make_tenancy(other, cast.col, since=SINCE)
    said = refused(_merged, plots=[plot, other])["other"]
    assert "plot 10 by Col" in said
    assert "end one of the tenancies first" in said


def test_who_holds_both_holds_the_whole(cast: make.Cast, plot: Plot) -> None:
    other = beside(cast)
    for each, rent in ((plot, 30), (other, 20)):
        Tenancy.objects.filter(pk=make.make_tenancy(each, cast.dee, since=SINCE).pk).update(rent_due=rent)

    [whole] = merge(plot, other).making

    tenancy = whole.tenancies.get()
    assert (list(tenancy.holders.all()), tenancy.rent_due) == ([cast.dee], Decimal("50.00"))
    assert not Tenancy.objects.filter(plot__in=[plot, other], until__isnull=True).exists()


def _merged(plots: list[Plot]) -> Parting:
    return merge(*plots)
