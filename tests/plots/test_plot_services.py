"""Plots are laid out beside each other, corrected and given up."""

from datetime import date
from decimal import Decimal

import pytest

from plots.models import Plot
from plots.outlines import rectangle
from plots.plot_services import plot_create, plot_give_up, plot_update
from plots.shapes import Rectangle
from tests import factories as make
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
SINCE, TODAY = date(2024, 1, 1), date(2027, 2, 1)
NOW = make.instant(TODAY)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


def laid_out(cast: make.Cast, shape: object, number: str = "9") -> Plot:
    return plot_create(site=cast.site, number=number, shape=shape, laid_out_on=TODAY, account=None, now=NOW)  # type: ignore[arg-type]


def test_the_area_comes_from_the_outline(cast: make.Cast) -> None:
    assert laid_out(cast, Rectangle(40, 0, 25, 10, angle_deg=30)).area_m2 == Decimal("250.00")


def test_corners_make_a_plot_of_any_form(cast: make.Cast) -> None:
    plot = laid_out(cast, [[40, 0], [60, 0], [60, 10], [40, 0]])
    assert plot.area_m2 == Decimal("100.00")
    assert len(plot.outline) == 3


def test_a_plot_over_another_is_refused_with_the_area(cast: make.Cast) -> None:
    said = refused(
        plot_create, site=cast.site, number="9", shape=Rectangle(19, 0, 20, 8), laid_out_on=TODAY,
        account=None, now=NOW,
    )  # fmt: skip
    assert said == {
        "outline": "8.00 m² of it belong to plot 7; correct the corners of one of them"
    }  # 1 m by 8 m
    assert Plot.objects.count() == 2


def test_a_hedge_measured_twice_is_no_overlap(cast: make.Cast) -> None:
    assert laid_out(cast, Rectangle(19.994, 0, 20, 8)).pk  # 6 mm by 8 m: 0.048 m²


def test_land_given_up_may_be_laid_out_anew(cast: make.Cast) -> None:
    Plot.objects.filter(pk=cast.plot.pk).update(given_up_on=date(2026, 12, 31))
    assert laid_out(cast, Rectangle(0, 0, 10, 8)).pk


@pytest.mark.parametrize(
    ("shape", "field", "words"),
    [
        (Rectangle(40, 0, 0, 8), "length_m", "0.05 m or more"),
        (Rectangle(40, 0, 20, float("nan")), "width_m", "nan m is no side"),
        (Rectangle(51.5e6, 0, 20, 8), "x_m", "metres from the site's own corner"),
        ([[0, 0], [1, 1]], "outline", "at least three corners"),
        ([[40, 0], [42, 2], [42, 0], [40, 2]], "outline", "crosses itself"),
        ([[40, 0], "here", [42, 0]], "outline", "list of corners"),
    ],
)
def test_what_is_no_ground_is_refused_by_field(
    cast: make.Cast, shape: object, field: str, words: str
) -> None:
    said = refused(
        plot_create, site=cast.site, number="9", shape=shape, laid_out_on=TODAY, account=None, now=NOW
    )
    assert words in said[field]


def test_a_number_is_given_once_a_site(cast: make.Cast) -> None:
    said = refused(plot_update, plot=cast.other_plot, version=1, account=None, now=NOW, number=" 7 ")
    assert "there is a plot 7" in said["number"]


def test_a_plot_made_smaller_must_still_hold_its_beds(cast: make.Cast) -> None:
    said = refused(plot_update, plot=cast.plot, version=1, account=None, now=NOW, shape=Rectangle(0, 0, 5, 8))
    assert "bed 1 would stick out 1.00 m over the east side" in said["outline"]


def test_a_corrected_outline_corrects_the_area(cast: make.Cast) -> None:
    changed = plot_update(plot=cast.plot, version=1, account=None, now=NOW, shape=Rectangle(0, 0, 19, 8))
    assert (changed.area_m2, changed.version) == (Decimal("152.00"), 2)


def test_a_held_plot_is_not_given_up(cast: make.Cast) -> None:
    said = refused(plot_give_up, plot=cast.plot, on=TODAY, account=None, now=NOW)
    assert "end the tenancy first" in said["plot"]


def test_giving_a_plot_up_closes_its_beds_and_keeps_its_record(cast: make.Cast) -> None:
    plot = make.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))
    bed = make.make_bed(plot, since=SINCE, outline=rectangle((41, 1), length_m=5, width_m=1))
    make.make_sowing(bed, season=2025, state="lifted")
    plot_give_up(plot=plot, on=TODAY, version=1, account=None, now=NOW)
    bed.refresh_from_db()
    assert bed.until == TODAY
    assert bed.patches.count() == 1
