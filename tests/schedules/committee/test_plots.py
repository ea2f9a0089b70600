"""Plots, beds and tenancies, as the committee reads and changes them."""

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from plots.models import Bed, CoWorker, Plot, Sowing, Tenancy
from plots.outlines import rectangle
from tests import factories
from tests.schedules.committee.conftest import NOW, SINCE, TODAY, said

PLOT = {
    "number": "9", "laid_out_on": TODAY, "length_m": "20", "width_m": "10", "x_m": "50", "y_m": "0",
    "angle_deg": "0",
}  # fmt: skip
BED = {
    "name": "bed 2", "kind": "open", "since": TODAY, "length_m": "3", "width_m": "1.2", "along_m": "1",
    "across_m": "5",
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

    # session, account, society, members, seat; plot, beds, tenancies, holders, sowings, helpers, offer;
    # the society in the frame
    assert len(queries) == 13


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


def test_a_bed_is_laid_out_on_the_plots_own_grid(cast, send):
    answer = send("committee-bed-add", cast.plot.pk, **BED)

    assert said(answer) == ["Bed 2 is laid out."]
    assert Bed.objects.get(name="bed 2").outline == rectangle((1, 5), length_m=3, width_m=1.2)


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"name": "bed 1"}, "name", "already"),
        ({"across_m": "7.5"}, "length_m", "stick out"),
        ({"across_m": "1"}, "length_m", "lie over bed 1"),
        ({"width_m": "0"}, "width_m", "no side of a piece of ground"),
        ({"kind": "container"}, "height_m", "give its height in metres"),
    ],
)
def test_a_bed_that_cannot_be_is_refused_at_its_field(cast, send, typed, field, sentence):
    assert sentence in faults(send("committee-bed-add", cast.plot.pk, **{**BED, **typed}), field)


def bed_form(bed, **fields):
    corners = "\n".join(f"{x:g}, {y:g}" for x, y in bed.outline)
    return {"name": bed.name, "kind": "open", "height_m": "0", "corners": corners, "version": 1, **fields}


def test_a_bed_is_renamed(cast, send):
    send("committee-bed-change", cast.bed.pk, **bed_form(cast.bed, name="long bed"))

    assert Bed.objects.get(pk=cast.bed.pk).name == "long bed"


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


def test_a_plot_is_let_to_two_together(cast, vacant, send):
    answer = send(
        "committee-tenancy-add", vacant.pk, tenant=cast.ana.pk, tenant_2=cast.ben.pk, since=TODAY,
        rent_due="45.50",
    )  # fmt: skip

    tenancy = Tenancy.objects.get(plot=vacant)
    assert said(answer) == ["Plot 9 is let."]
    assert (set(tenancy.holders.all()), tenancy.rent_due) == ({cast.ana, cast.ben}, Decimal("45.50"))


def test_a_plot_that_is_held_cannot_be_let(cast, send):
    answer = send("committee-tenancy-add", cast.plot.pk, tenant=cast.col.pk, since=TODAY)

    assert "Plot 7 is held by somebody else" in faults(answer, "since")


def test_one_tenant_named_twice_is_refused(cast, vacant, send):
    answer = send("committee-tenancy-add", vacant.pk, tenant=cast.ana.pk, tenant_2=cast.ana.pk, since=TODAY)

    assert "name each tenant once" in faults(answer, "tenant")


def test_a_tenancy_ends_and_what_stands_is_passed_on(cast, send):
    factories.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY)

    answer = send(
        "committee-tenancy-end", cast.plot.tenancies.get().pk,
        reason="left", on=TODAY, passed_to=cast.ben.pk, version=1,
    )  # fmt: skip

    page = answer.content.decode()
    assert "The plot was given up" in page
    assert "One sowing passed on to Ben Hurdle" in page
    assert Sowing.objects.get().planned_by == cast.ben


def test_a_tenancy_ends_and_what_stands_is_cleared(cast, send):
    factories.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY)

    answer = send("committee-tenancy-end", cast.plot.tenancies.get().pk, reason="notice", on=TODAY, version=1)

    assert "One sowing cleared, no plans withdrawn" in answer.content.decode()
    assert Sowing.objects.get().state == "cleared"


def test_after_a_death_the_words_are_gentle_and_nothing_is_sent(cast, send):
    answer = send("committee-tenancy-end", cast.plot.tenancies.get().pk, reason="death", on=TODAY, version=1)

    page = answer.content.decode()
    assert "There is no hurry about the rest" in page
    assert "We are sorry for your loss." in page
    cast.ana.refresh_from_db()
    assert cast.ana.died_on == TODAY


def test_of_two_tenants_one_may_stay(cast, vacant, send):
    tenancy = factories.make_tenancy(vacant, cast.ana, cast.ben, since=SINCE)

    answer = send(
        "committee-tenancy-end", tenancy.pk, reason="left", on=TODAY, leaving=[cast.ana.pk], version=1
    )

    assert "hold plot 9 on" in answer.content.decode()
    assert list(Tenancy.objects.get(plot=vacant, until=None).holders.all()) == [cast.ben]


def test_a_tenancy_that_changed_meanwhile_is_not_ended(cast, send):
    tenancy = cast.plot.tenancies.get()
    send("committee-rent", tenancy.pk, paid_on=TODAY, version=1)

    answer = send("committee-tenancy-end", tenancy.pk, reason="left", on=TODAY, version=1)

    assert answer.status_code == 409
    assert Tenancy.objects.get(pk=tenancy.pk).until is None


def test_rent_is_noted_and_the_note_taken_back(cast, send):
    tenancy = cast.plot.tenancies.get()
    send("committee-rent", tenancy.pk, paid_on=TODAY, version=1)
    assert Tenancy.objects.get(pk=tenancy.pk).rent_paid_on == TODAY

    send("committee-rent", tenancy.pk, paid_on="", version=2)

    assert Tenancy.objects.get(pk=tenancy.pk).rent_paid_on is None


def test_rent_to_come_is_refused(cast, send):
    answer = send("committee-rent", cast.plot.tenancies.get().pk, paid_on=date(2028, 1, 1), version=1)

    assert "is still to come" in faults(answer, "paid_on")


def test_a_helper_is_noted_and_ended(cast, send):
    send("committee-helper-add", cast.plot.pk, member=cast.col.pk, since=TODAY)
    helper = CoWorker.objects.get(member=cast.col)

    send("committee-helper-end", helper.pk, on=TODAY)

    helper.refresh_from_db()
    assert helper.until == TODAY


def test_who_holds_the_plot_needs_no_help_noted(cast, send):
    answer = send("committee-helper-add", cast.plot.pk, member=cast.ana.pk, since=TODAY)

    assert "holds plot 7" in faults(answer, "member")


def test_a_help_cannot_end_before_it_began(cast, send):
    helper = CoWorker.objects.get()

    answer = send("committee-helper-end", helper.pk, on=date(2019, 1, 1))

    assert "Give a day from 2020-01-01" in faults(answer, "on")
