"""Plots and beds, as the committee reads and changes them."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from plots.models import Bed, Plot
from plots.outlines import rectangle
from tests import factories
from tests.schedules.committee.conftest import NOW, SINCE, TODAY, said

PLOT = {
    "number": "9", "laid_out_on": TODAY, "length_m": "20", "width_m": "10", "x_m": "50", "y_m": "0",
    "angle_deg": "0",
}  # fmt: skip


@pytest.fixture
def vacant(cast):
    return factories.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))


def faults(answer, field):
    assert answer.status_code == 422
    return " ".join(answer.context["form"].errors[field])


def test_the_list_says_area_holders_and_what_is_vacant(vacant, look):
    page = look("committee-plots")

    assert "One plot of Alder Lane is vacant" in page
    assert "160 m², about 6½ poles" in page
    assert "Ana Orchard" in page


def test_the_vacant_ones_can_be_read_alone(vacant, look):
    page = look("committee-plots", vacant="yes")

    assert "Plot 9" in page
    assert "Plot 7" not in page


@pytest.mark.parametrize("count", [1, 50])
def test_the_list_costs_the_same_for_one_and_for_fifty(cast, look, count):
    for number in range(count):
        plot = factories.make_plot(cast.site, f"A{number}", laid_out_on=SINCE, corner=(40, 9 * number))
        factories.make_tenancy(plot, cast.ana, cast.ben, since=SINCE)
        bed = factories.make_bed(plot, since=SINCE, corner=(41, 9 * number + 1))
        factories.make_verdict(factories.make_sowing(bed, season=2027), level="short", judged_at=NOW)

    with CaptureQueriesContext(connection) as queries:
        look("committee-plots")

    # session, account, society, members, seat; sites, count, plots, tenancies, holders, helpers, vacant;
    # the society in the frame
    assert len(queries) == 13


def test_a_site_that_is_none_is_not_found(dee):
    assert dee.get("/committee/plots/", {"site": "elsewhere"}).status_code == 404


def test_one_plot_is_drawn_and_told(cast, look):
    page = look("committee-plot", cast.plot.pk)

    assert "Plot 7 is held by Ana Orchard" in page
    assert "Plan of plot 7" in page
    assert "south-west corner, along the side that runs east" in page
    assert "Ben Hurdle" in page


@pytest.mark.parametrize("count", [1, 50])
def test_one_plot_costs_the_same_with_one_bed_and_with_fifty(cast, look, count):
    for number in range(count):
        bed = factories.make_bed(cast.plot, f"bed {number + 2}", since=SINCE, corner=(1, 1))
        factories.make_sowing(bed, season=2027, state="sown", sown_on=TODAY)
        factories.make_tenancy(cast.plot, cast.col, since=SINCE, until=SINCE)

    with CaptureQueriesContext(connection) as queries:
        look("committee-plot", cast.plot.pk)

    # session, account, society, members, seat; plot, beds, tenancies, holders, sowings, helpers, offer, what
    # its land was before; the society in the frame
    assert len(queries) == 14


def test_a_plot_is_laid_out_as_a_rectangle(send):
    answer = send("committee-plot-add", **PLOT)

    assert said(answer) == ["Plot 9 is laid out."]
    assert Plot.objects.get(number="9").area_m2 == Decimal(200)


def test_a_plot_is_laid_out_by_its_corners(send):
    send("committee-plot-add", number="9", laid_out_on=TODAY, corners="50, 0\n60;0\n50 10")

    assert Plot.objects.get(number="9").area_m2 == Decimal(50)


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"number": ""}, "number", "Enter the plot’s number."),
        ({"number": "7"}, "number", "There is a plot 7 on this site already"),
        ({"length_m": ""}, "length_m", "or give the corners below instead"),
        ({"length_m": "long"}, "length_m", "Give metres, like 2.5."),
        ({"x_m": "10"}, "corners", "belong to plot 7"),
        ({"corners": "1, 2\n3"}, "corners", "Corner 2, “3”, is not two numbers"),
        ({"corners": "0,0\n9,9\n9,0\n0,9"}, "corners", "crosses itself"),
    ],
)
def test_a_plot_that_cannot_be_is_refused_at_its_field(cast, send, typed, field, sentence):
    assert sentence in faults(send("committee-plot-add", **{**PLOT, **typed}), field)
    assert Plot.objects.count() == 2


def corrected(plot, **fields):
    corners = "\n".join(f"{x:g}, {y:g}" for x, y in plot.outline)
    return {"number": plot.number, "laid_out_on": SINCE, "corners": corners, "version": 1, **fields}


def test_a_plot_is_corrected_and_its_ground_stays_where_it_is(cast, send):
    send("committee-plot-change", cast.plot.pk, **corrected(cast.plot, number="7A", record_since=2024))

    cast.plot.refresh_from_db()
    assert (cast.plot.number, cast.plot.record_since) == ("7A", 2024)
    assert cast.plot.outline == rectangle((0, 0), length_m=20, width_m=8)


def test_a_stale_plot_page_says_what_changed(cast, send):
    send("committee-plot-change", cast.plot.pk, **corrected(cast.plot, number="7A", record_since=2020))

    answer = send("committee-plot-change", cast.plot.pk, **corrected(cast.plot, number="7B"))

    assert answer.status_code == 409
    assert "Number: now 7A" in answer.content.decode()
    assert Plot.objects.get(pk=cast.plot.pk).number == "7A"


def test_land_is_given_up_once_nobody_holds_it(cast, vacant, send):
    assert "end the tenancy first" in str(
        send("committee-plot-give-up", cast.plot.pk, on=TODAY, version=1).context["form"].errors
    )

    send("committee-plot-give-up", vacant.pk, on=TODAY, version=1)

    vacant.refresh_from_db()
    assert vacant.given_up_on == TODAY


def bed_form(bed, **fields):
    corners = "\n".join(f"{x:g}, {y:g}" for x, y in bed.outline)
    return {"name": bed.name, "kind": "open", "height_m": "0", "corners": corners, "version": 1, **fields}


def test_a_bed_is_renamed(cast, send):
    send("committee-bed-change", cast.bed.pk, **bed_form(cast.bed, name="long bed"))

    assert Bed.objects.get(pk=cast.bed.pk).name == "long bed"


def test_correcting_a_bed_asks_what_stands_there_and_takes_a_second_sending(cast, send):
    sowing = factories.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY)
    typed = bed_form(cast.bed, corners="1, 1\n4, 1\n4, 2.2\n1, 2.2")

    asked = send("committee-bed-change", cast.bed.pk, **typed)
    assert "Carrot, early stands in bed 1 (2027), and stays where it is." in faults(asked, "__all__")
    assert "Keep it all the same" in asked.content.decode()

    send(
        "committee-bed-change",
        cast.bed.pk,
        **typed,
        standing_seen=asked.context["form"]["standing_seen"].value(),
    )
    cast.bed.refresh_from_db()
    sowing.patch.refresh_from_db()
    assert cast.bed.outline == rectangle((1, 1), length_m=3, width_m=1.2)
    assert sowing.patch.outline == rectangle((1, 1), length_m=5, width_m=1.2)


def test_a_stale_bed_page_overwrites_nothing(cast, send):
    send("committee-bed-change", cast.bed.pk, **bed_form(cast.bed, name="long bed"))

    answer = send("committee-bed-change", cast.bed.pk, **bed_form(cast.bed, name="short bed"))

    assert answer.status_code == 409
    assert "Name: now long bed" in answer.content.decode()


def test_a_bed_closes_when_nothing_stands_in_it(cast, send):
    sowing = factories.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY)
    assert send("committee-bed-close", cast.bed.pk, on=TODAY, version=1).status_code == 422
    sowing.delete()

    send("committee-bed-close", cast.bed.pk, on=TODAY, version=1)

    assert Bed.objects.get(pk=cast.bed.pk).until == TODAY
