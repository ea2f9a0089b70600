"""Plots halved, merged, moved and taped at the committee's desk: looked at first, then kept."""

from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plots.models import Plot, Tenancy
from plots.outlines import polygon, rectangle
from tests import factories
from tests.schedules.committee.conftest import SINCE, TODAY, said

# A rectangle of 20 m by 15 m: its diagonal is 25 m (3-4-5).
LENGTHS = "1-2 20\n2-3 15,0\n3 - 4: 20.0 m\n4-1 15\n1-3 25"
TAPED = {
    "number": "12", "laid_out_on": TODAY, "lengths": LENGTHS, "walked": "left", "x_m": "60", "y_m": "0",
    "angle_deg": "0",
}  # fmt: skip


def faults(answer: Any, field: str) -> str:
    assert answer.status_code == 422
    return " ".join(answer.context["form"].errors[field])


@pytest.fixture
def vacant(cast):
    return factories.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(60, 0))


@pytest.fixture
def keep(send):
    """Look at a wish, then send it again with what was seen."""

    def twice(name, *args, **typed):
        looked = send(name, *args, **typed)
        assert looked.status_code == 200, looked.context["form"].errors
        seen = looked.context["parting"].mark if "parting" in looked.context else looked.context["mark"]
        return send(name, *args, **typed, keep="yes", seen=seen)

    return twice


HALVE = {"side": "0", "at_m": "", "first": "9a", "second": "9b", "on": TODAY}


def test_a_plot_is_halved_after_it_was_seen(vacant, send, keep):
    page = send("committee-plot-halve", vacant.pk, **HALVE).content.decode()
    assert "Plan of plot 9a and plot 9b as it would be" in page
    assert "Plot 9a, 80 m², about 3 poles" in page
    assert Plot.objects.filter(number="9a").count() == 0

    answer = keep("committee-plot-halve", vacant.pk, **HALVE)

    assert said(answer) == ["Plot 9 ended; plot 9a and plot 9b laid out on its land."]
    assert "Its land was" in answer.content.decode()
    vacant.refresh_from_db()
    assert vacant.given_up_on == TODAY


def test_sides_are_named_by_the_wind_they_face(vacant, look):
    page = look("committee-plot-halve", vacant.pk)

    assert "south side, 20 m, from its west end" in page
    assert "east side, 8 m, from its south end" in page


def test_a_plot_is_halved_at_a_distance(vacant, keep):
    keep("committee-plot-halve", vacant.pk, **{**HALVE, "at_m": "12"})

    assert polygon(Plot.objects.get(number="9a").outline).bounds == (60, 0, 72, 8)


def test_a_held_plot_asks_which_half_is_kept(cast, send, keep):
    wish = {**HALVE, "first": "7a", "second": "7b"}
    assert "say which half they keep" in faults(send("committee-plot-halve", cast.plot.pk, **wish), "keeper")

    keep("committee-plot-halve", cast.plot.pk, **wish, keeper="0", rent_due="22.50")

    tenancy = Tenancy.objects.get(holders=cast.ana, until__isnull=True)
    assert (tenancy.plot.number, tenancy.rent_due) == ("7a", Decimal("22.50"))


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"side": "9"}, "side", "Choose one of the sides"),
        ({"at_m": "20"}, "at_m", "The side is 20.00 m long"),
        ({"at_m": "nan"}, "at_m", "This is not a length"),
        ({"first": "7"}, "first", "There is a plot 7"),
        ({"first": ""}, "first", "Enter a number."),
        ({"second": "9A"}, "first", "two numbers"),
        ({"on": "2027-04-13"}, "on", "to today, 2027-04-12"),
    ],
)
def test_a_halving_that_cannot_be_is_refused_at_its_field(cast, vacant, send, typed, field, sentence):
    answer = send("committee-plot-halve", vacant.pk, **{**HALVE, **typed})

    assert sentence in faults(answer, field)
    assert Plot.objects.count() == 3


def test_what_was_not_looked_at_is_not_kept(vacant, send):
    looked = send("committee-plot-halve", vacant.pk, **HALVE)

    answer = send(
        "committee-plot-halve", vacant.pk, **{**HALVE, "at_m": "3"}, keep="yes",
        seen=looked.context["parting"].mark,
    )  # fmt: skip

    assert answer.status_code == 409
    assert Plot.objects.filter(number="9a").count() == 0


def test_halves_are_merged_again(vacant, keep, look):
    factories.make_sowing(
        factories.make_bed(vacant, since=SINCE, corner=(61, 1)), season=2026, state="lifted"
    )
    keep("committee-plot-halve", vacant.pk, **HALVE)
    one, other = Plot.objects.filter(number__in=["9a", "9b"]).order_by("number")

    keep("committee-plot-merge", one.pk, other=other.pk, number="9c", on=TODAY)

    whole = Plot.objects.get(number="9c")
    assert polygon(whole.outline).symmetric_difference(polygon(vacant.outline)).area < 1e-3
    page = look("plot", whole.pk, season=2026)
    assert "Bed 1 of plot 9" in page
    assert "Carrot, early" in page


def test_what_was_lifted_before_in_that_season_stands_under_the_bed_that_has_its_ground(vacant, keep, look):
    bed = factories.make_bed(vacant, since=SINCE, corner=(61, 1))
    factories.make_sowing(bed, season=2027, state="lifted", sown_on=SINCE, ended_on=TODAY)

    keep("committee-plot-halve", vacant.pk, **HALVE)

    page = look("plot", Plot.objects.get(number="9a").pk, season=2027)
    assert "Carrot, early" in page
    assert "Elsewhere on the plot" not in page


def test_the_journal_tells_of_halving(vacant, keep, look):
    keep("committee-plot-halve", vacant.pk, **HALVE)

    assert "halved plot 9: its land is plot 9a and plot 9b since" in look("committee-journal")


def test_only_plots_that_adjoin_are_offered(cast, vacant, look):
    factories.make_plot(cast.site, "10", laid_out_on=SINCE, corner=(60, 8))

    page = look("committee-plot-merge", vacant.pk)

    assert "plot 10</option>" in page
    assert "plot 7</option>" not in page


def test_a_plot_elsewhere_is_refused(cast, vacant, send):
    answer = send("committee-plot-merge", vacant.pk, other=cast.plot.pk, number="9c", on=TODAY)

    assert "lies elsewhere" in faults(answer, "other")


def test_a_plot_in_the_wrong_place_is_moved(cast, send):
    answer = send("committee-plot-move", cast.plot.pk, east_m="-30", north_m="", version=1)

    assert said(answer) == ["Moved, with all that is on record there."]
    cast.bed.refresh_from_db()
    assert cast.bed.outline == rectangle((-29, 1), length_m=5, width_m=1.2)


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({}, "east_m", "stay where it is"),
        ({"east_m": "1e9"}, "east_m", "off the site"),
        ({"turn_deg": "400"}, "turn_deg", "no angle"),
    ],
)
def test_a_move_that_cannot_be_is_refused_at_its_field(cast, send, typed, field, sentence):
    assert sentence in faults(send("committee-plot-move", cast.plot.pk, **typed, version=1), field)


def test_a_plot_is_laid_out_from_taped_lengths(cast, send, keep):
    page = send("committee-plot-survey", **TAPED).content.decode()
    assert "300 m², about 12 poles. There is nothing to check the lengths against" in page

    keep("committee-plot-survey", **TAPED)

    assert Plot.objects.get(number="12").outline == rectangle((60, 0), length_m=20, width_m=15)


def test_a_fifth_length_says_how_well_they_close(cast, send):
    page = send("committee-plot-survey", **{**TAPED, "lengths": f"{LENGTHS}\n2-4 25.10"}).content.decode()

    # By least squares the two diagonals share the 10 cm; the page says the figure and where it fits worst.
    assert "The lengths close within " in page
    assert "the worst fit is between corners " in page


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"lengths": ""}, "lengths", "Give the sides and a diagonal"),
        ({"lengths": "1-2 20\nlong"}, "lengths", "Line 2, “long”, is not two corners and a length."),
        ({"lengths": "1-2 20\n2-1 20"}, "lengths", "Line 2: the length 2-1 stands twice"),
        ({"lengths": "1-2 20\n2-3 15\n3-4 20\n1-4 15"}, "lengths", "One more diagonal needed"),
        ({"lengths": LENGTHS.replace("25", "60")}, "lengths", "make no triangle"),
        ({"lengths": f"{LENGTHS}\n2-4 30"}, "lengths", "The lengths do not close"),
        ({"lengths": "1-2 20\n1-99 4"}, "lengths", "give 3 to 10 corners"),
        ({"lengths": "1-2 1\n" * 46}, "lengths", "46 lengths are too many"),
        ({"x_m": ""}, "x_m", "Give metres"),
        ({"x_m": "1e308"}, "lengths", "10 km away"),
        ({"angle_deg": "inf"}, "angle_deg", "Give degrees"),
        ({"number": "7"}, "number", "There is a plot 7"),
        ({"x_m": "10"}, "lengths", "belong to plot 7"),
    ],
)
def test_lengths_that_make_no_ground_are_refused(cast, send, typed, field, sentence):
    answer = send("committee-plot-survey", **{**TAPED, **typed})

    assert sentence.casefold() in faults(answer, field).casefold()


def test_taped_lengths_that_were_not_looked_at_are_not_kept(cast, send):
    looked = send("committee-plot-survey", **TAPED)

    answer = send(
        "committee-plot-survey", **{**TAPED, "angle_deg": "9"}, keep="yes", seen=looked.context["mark"]
    )

    assert answer.status_code == 409
    assert not Plot.objects.filter(number="12").exists()


@pytest.mark.parametrize("count", [1, 50])
def test_looking_at_a_halving_costs_the_same_with_one_bed_and_with_fifty(vacant, dee, count):
    for number in range(count):
        bed = factories.make_bed(vacant, f"bed {number}", since=SINCE, corner=(61, 1))
        factories.make_sowing(bed, season=2027)

    with CaptureQueriesContext(connection) as queries:
        answer = dee.post(reverse("committee-plot-halve", args=[vacant.pk]), HALVE)

    assert answer.status_code == 200
    # session, account, society, members, seat; plot, is it held, tenancies, offers, the other plots for each
    # of two halves, beds, what stands; the frame
    assert len(queries) == 14


@pytest.mark.parametrize("count", [1, 50])
def test_offering_plots_beside_costs_the_same_for_one_and_for_fifty(vacant, dee, count):
    for number in range(count):
        factories.make_plot(vacant.site, f"A{number}", laid_out_on=SINCE, corner=(60, 8 + 8 * number))

    with CaptureQueriesContext(connection) as queries:
        dee.get(reverse("committee-plot-merge", args=[vacant.pk]))

    # session, account, society, members, seat; plot, the site's plots, the plot's beds; the frame
    assert len(queries) == 9
