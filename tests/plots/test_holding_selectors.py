"""Who holds what, read in few queries however large the site."""

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from plots.holding_selectors import plot_holding, plot_lines, vacant_plots, waiting_list
from plots.models import PlotOffer, Sowing, Tenancy, WaitingEntry
from plots.outlines import rectangle
from plots.patch_selectors import patch_years
from tests import factories as make

pytestmark = pytest.mark.django_db
SINCE, TODAY = date(2024, 1, 1), date(2027, 5, 10)
NOW = make.instant(TODAY)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


def queries_of(read: Callable[[], Any]) -> int:
    with CaptureQueriesContext(connection) as queries:
        read()
    return len(queries)


def warned(cast: make.Cast, **fields: Any) -> Sowing:
    sowing = make.make_sowing(cast.bed, season=2027)
    make.make_verdict(sowing, level="broken", judged_at=NOW, **fields)
    return sowing


def test_a_line_names_tenants_helpers_area_and_warnings(cast: make.Cast) -> None:
    warned(cast)
    line = plot_lines(cast.site, on=TODAY)[0]
    assert (line.tenants, line.helpers, line.rest_warnings) == ((cast.ana,), (cast.ben,), 1)
    assert line.area_text == "160 m², about 6½ poles"


def test_an_overruled_warning_counts_no_longer(cast: make.Cast) -> None:
    warned(cast, overruled_at=NOW)
    assert plot_lines(cast.site, on=TODAY)[0].rest_warnings == 0


def test_lines_are_in_the_order_of_their_numbers(cast: make.Cast) -> None:
    make.make_plot(cast.site, "10", laid_out_on=SINCE, corner=(40, 0))
    assert [line.plot.number for line in plot_lines(cast.site, on=TODAY)] == ["7", "8", "10"]


def test_a_plot_given_back_is_vacant_from_that_day(cast: make.Cast) -> None:
    Tenancy.objects.filter(plot=cast.plot).update(until=TODAY)
    assert list(vacant_plots(cast.site, on=TODAY)) == [cast.plot]
    assert plot_lines(cast.site, on=TODAY)[0].is_vacant
    assert not plot_lines(cast.site, on=date(2027, 5, 9))[0].is_vacant


def test_a_plot_already_let_from_a_later_day_is_not_vacant(cast: make.Cast) -> None:
    Tenancy.objects.filter(plot=cast.plot).update(until=TODAY)
    make.make_tenancy(cast.plot, cast.dee, since=date(2027, 6, 1))
    assert not vacant_plots(cast.site, on=TODAY).exists()


def test_one_plot_shows_its_beds_its_crops_and_its_past(cast: make.Cast) -> None:
    closed = make.make_bed(
        cast.plot, "bed 0", since=SINCE, until=TODAY, outline=rectangle((8, 4), length_m=1, width_m=1)
    )
    make.make_sowing(cast.bed, "turnip", season=2025, state=Sowing.State.LIFTED)
    grows = make.make_sowing(cast.bed, "parsnip", season=2026, state=Sowing.State.SOWN)
    make.make_tenancy(cast.plot, cast.dee, since=date(2020, 1, 1), until=SINCE)
    holding = plot_holding(cast.plot, on=TODAY)
    assert (holding.beds, holding.closed_beds, holding.sowings) == ((cast.bed,), (closed,), (grows,))
    assert (holding.tenants, len(holding.tenancies)) == ((cast.ana,), 2)


def test_the_years_of_a_patch_are_those_of_its_ground(cast: make.Cast) -> None:
    old = make.make_bed(
        cast.plot, "old", since=SINCE, until=TODAY, outline=rectangle((0, 0), length_m=2, width_m=8)
    )
    make.make_sowing(old, "parsnip", season=2024, state=Sowing.State.LIFTED)
    make.make_sowing(cast.bed, "turnip", season=2026, state=Sowing.State.LIFTED)
    make.make_sowing(cast.other_bed, "radish", season=2026, state=Sowing.State.LIFTED)
    years = patch_years(cast.site, cast.bed.outline)
    # The old bed reached x = 2 m, so 1 m by 1.2 m of the bed's 5 m by 1.2 m.
    assert [
        (year.season, year.sowing.crop, round(year.area_m2, 3), round(year.share, 3)) for year in years
    ] == [
        (2026, "turnip", 6.0, 1.0),
        (2024, "parsnip", 1.2, 0.2),
    ]


@pytest.mark.parametrize("count", [1, 50])
def test_the_list_of_plots_takes_four_queries(cast: make.Cast, count: int) -> None:
    for number in range(count):
        plot = make.make_plot(cast.site, f"1{number:02d}", laid_out_on=SINCE, corner=(40, 9.0 * number))
        make.make_tenancy(plot, cast.ana, cast.ben, since=SINCE)
        make.make_co_worker(plot, cast.col, since=SINCE)
        bed = make.make_bed(plot, since=SINCE, corner=(41, 9.0 * number + 1))
        make.make_verdict(make.make_sowing(bed, season=2027), level="short", judged_at=NOW)
    # 1 plots with warnings, 2 tenancies, 3 their holders, 4 helpers with their members (joined).
    assert queries_of(lambda: [line.area_text for line in plot_lines(cast.site, on=TODAY)]) == 4


@pytest.mark.parametrize("count", [1, 50])
def test_one_plot_takes_as_many_queries_whatever_its_past(cast: make.Cast, count: int) -> None:
    for number in range(count):
        make.make_tenancy(
            cast.plot, cast.dee, since=date(1900 + number, 1, 1), until=date(1901 + number, 1, 1)
        )
        warned(cast)
        make.make_co_worker(cast.plot, cast.dee, since=SINCE, until=None if number == 0 else TODAY)

    def read() -> None:
        holding = plot_holding(cast.plot, on=TODAY)
        assert [tuple(tenancy.holders.all()) for tenancy in holding.tenancies]
        assert [sowing.verdict.level for sowing in holding.sowings]
        assert [helper.member.name for helper in holding.co_workers]

    # 1 beds, 2 tenancies, 3 holders, 4 sowings with bed and verdict, 5 helpers, 6 the open offer.
    assert queries_of(read) == 6


@pytest.mark.parametrize("count", [1, 50])
def test_the_waiting_list_takes_three_queries(cast: make.Cast, count: int) -> None:
    for _ in range(count):
        entry = WaitingEntry.objects.create(site=cast.site, member=cast.dee, asked_on=SINCE)
        PlotOffer.objects.create(entry=entry, plot=cast.plot, made_on=SINCE, lapses_on=TODAY)

    def read() -> None:
        for entry in waiting_list(cast.site):
            assert entry.member.name
            assert [offer.plot.number for offer in entry.offers.all()]

    # 1 entries with members, 2 offers, 3 their plots.
    assert queries_of(read) == 3


@pytest.mark.parametrize("count", [1, 50])
def test_the_years_of_a_patch_take_one_query(cast: make.Cast, count: int) -> None:
    for number in range(count):
        make.make_sowing(cast.bed, season=1970 + number, state=Sowing.State.LIFTED)
    assert (
        queries_of(lambda: [y.sowing.patch.plot.number for y in patch_years(cast.site, cast.bed.outline)])
        == 1
    )
