"""Beds laid out, moved, split, joined and dug anew at the committee's desk: looked at first, then kept."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from plots.models import Bed
from plots.outlines import polygon, rectangle
from tests import factories
from tests.schedules.committee.conftest import SINCE, TODAY, said

BED = {
    "name": "bed 2", "kind": "open", "on": TODAY, "length_m": "3", "width_m": "1.2", "along_m": "1",
    "across_m": "5",
}  # fmt: skip
ROW = {
    "row": "6 beds of 1.2 x 5 m, paths 0.4 m", "lies": "away", "along_m": "7", "across_m": "1",
    "kind": "open", "on": TODAY,
}  # fmt: skip


@pytest.fixture
def keep(send):
    """Look at a wish, then send it again with what was seen."""

    def twice(name, pk, /, **typed):
        looked = send(name, pk, **typed)
        assert looked.status_code == 200, looked.context["form"].errors
        return send(name, pk, **typed, keep="yes", seen=looked.context["digging"].mark)

    return twice


def faults(answer, field):
    assert answer.status_code == 422
    return " ".join(answer.context["form"].errors[field])


def lasting(plot):
    return sorted(plot.beds.filter(until__isnull=True).values_list("name", flat=True))


def test_a_row_is_drawn_and_said_before_anything_is_kept(cast, send):
    page = send("committee-bed-row", cast.plot.pk, **ROW).content.decode()

    assert "Plan of plot 7 as it would be" in page
    assert page.count('class="plan-marked"') == 6
    assert (
        "Read as: 6 beds, each 5 m long and 1.2 m wide, 0.4 m of path between: 9.2 m by 5 m in all." in page
    )
    assert "Bed 7" in page  # bed 1 is there already
    assert lasting(cast.plot) == ["bed 1"]


def test_a_row_is_kept_once_it_was_seen(cast, keep):
    answer = keep("committee-bed-row", cast.plot.pk, **ROW)

    assert said(answer) == ["Laid out: bed 2, bed 3, bed 4, bed 5, bed 6, bed 7."]
    assert polygon(Bed.objects.get(name="bed 7").outline).bounds == pytest.approx((15, 1, 16.2, 6))


def test_what_was_not_looked_at_is_not_kept(cast, send):
    looked = send("committee-bed-row", cast.plot.pk, **ROW)

    other = {**ROW, "row": "5 beds of 1.2 x 5 m, paths 0.4 m"}
    answer = send("committee-bed-row", cast.plot.pk, **other, keep="yes", seen=looked.context["digging"].mark)

    assert answer.status_code == 409
    assert "This is not what you looked at" in answer.content.decode()
    assert lasting(cast.plot) == ["bed 1"]


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"row": ""}, "row", "Write it like: 6 beds of 1.2 x 5 m, paths 0.4 m."),
        ({"row": "six beds"}, "row", "It does not say how wide the paths"),
        (
            {"row": "6 beds of 1.2 x 9 m, paths 0.4 m"},
            "row",
            "Bed 2: it would stick out 2.00 m over the north",
        ),
        ({"along_m": "5"}, "row", "Bed 2: 1.20 m² of it lie over bed 1"),  # 1 m of its 1.2 m, 1.2 m deep
        ({"names": "one, two"}, "names", "These are 2 names for 6 beds"),
        ({"names": "a, b, c, d, e, A"}, "row", "there is a bed called a"),
        ({"turn_deg": "nan"}, "turn_deg", "Give degrees, like 15."),
        ({"along_m": "1e300"}, "along_m", "nowhere on the site"),
        ({"lies": "up"}, "lies", "Select a valid choice"),
        ({"on": "yesterday"}, "on", "This is not a date"),
        ({"on": "2019-01-01"}, "on", "was laid out on 2020-01-01"),
    ],
)
def test_a_row_that_cannot_be_is_refused_at_its_field(cast, send, typed, field, sentence):
    assert sentence in faults(send("committee-bed-row", cast.plot.pk, **{**ROW, **typed}), field)


def test_a_bed_is_laid_out_on_the_plots_own_grid(cast, keep):
    answer = keep("committee-bed-add", cast.plot.pk, **BED)

    assert said(answer) == ["Laid out: bed 2."]
    assert Bed.objects.get(name="bed 2").outline == rectangle((1, 5), length_m=3, width_m=1.2)


def test_a_bed_is_laid_out_at_an_angle(cast, keep):
    keep("committee-bed-add", cast.plot.pk, **{**BED, "along_m": "10", "across_m": "2", "turn_deg": "30"})

    expected = rectangle((10, 2), length_m=3, width_m=1.2, angle_deg=30)
    assert Bed.objects.get(name="bed 2").outline == [pytest.approx(corner, abs=1e-3) for corner in expected]


@pytest.mark.parametrize(
    ("typed", "field", "sentence"),
    [
        ({"name": "bed 1"}, "name", "already"),
        ({"across_m": "7.5"}, "length_m", "stick out"),
        ({"across_m": "1"}, "length_m", "lie over bed 1"),
        ({"width_m": "0"}, "width_m", "no side of a piece of ground"),
        ({"along_m": "1e300"}, "along_m", "nowhere on the site"),
        ({"kind": "container"}, "height_m", "give its height in metres"),
    ],
)
def test_a_bed_that_cannot_be_is_refused_at_its_field(cast, send, typed, field, sentence):
    assert sentence in faults(send("committee-bed-add", cast.plot.pk, **{**BED, **typed}), field)


def test_beds_are_dug_over_and_others_laid_out(cast, keep):
    row = {
        **ROW,
        "row": "2 beds of 1 x 4 m, paths 0.3 m",
        "lies": "along",
        "along_m": "1.2",
        "across_m": "0.4",
    }
    answer = keep("committee-beds-again", cast.plot.pk, **row, turn_deg="9", closed=[cast.bed.pk])

    assert said(answer) == ["Closed: bed 1. Laid out: bed 1, bed 2."]
    old = Bed.objects.get(pk=cast.bed.pk)
    assert (old.until, lasting(cast.plot)) == (TODAY, ["bed 1", "bed 2"])


def test_digging_over_asks_first_what_stands_there(cast, send, keep):
    sowing = factories.make_sowing(cast.bed, season=2027, state="sown", sown_on=TODAY)
    looked = send("committee-bed-move", cast.bed.pk, north_m="3", on=TODAY)
    assert "Carrot, early stands in bed 1 (2027), and stays where it is." in looked.content.decode()
    assert "Move it all the same" in looked.content.decode()

    keep("committee-bed-move", cast.bed.pk, north_m="3", on=TODAY)

    sowing.patch.refresh_from_db()
    assert sowing.patch.outline == cast.bed.outline
    assert cast.plot.beds.get(until__isnull=True).outline == rectangle((1, 4), length_m=5, width_m=1.2)


def test_a_bed_is_given_another_shape(cast, keep):
    keep("committee-bed-reshape", cast.bed.pk, length_m="4", width_m="1.5", corners="", on=TODAY)

    assert cast.plot.beds.get(until__isnull=True).outline == rectangle((1, 1), length_m=4, width_m=1.5)
    assert Bed.objects.get(pk=cast.bed.pk).until == TODAY


def test_a_bed_is_split_and_joined_again(cast, keep):
    keep("committee-bed-split", cast.bed.pk, parts="2", on=TODAY)
    assert lasting(cast.plot) == ["bed 1a", "bed 1b"]
    first, second = cast.plot.beds.filter(until__isnull=True).order_by("name")

    keep("committee-bed-join", first.pk, other=second.pk, on=TODAY)

    whole = cast.plot.beds.get(until__isnull=True)
    assert polygon(whole.outline).symmetric_difference(polygon(cast.bed.outline)).area < 1e-3


@pytest.mark.parametrize(
    ("name", "typed", "field", "sentence"),
    [
        ("committee-bed-move", {}, "east_m", "now it would stay where it is"),
        ("committee-bed-move", {"east_m": "16"}, "east_m", "stick out 2.00 m over the east side"),
        ("committee-bed-move", {"turn_deg": "720"}, "turn_deg", "720 is no angle"),
        ("committee-bed-move", {"east_m": "1", "on": "2027-04-13"}, "on", "to today, 2027-04-12"),
        ("committee-bed-reshape", {"corners": "1,1\n6,1\n6,2.2\n1,2.2"}, "length_m", "now nothing changes"),
        ("committee-bed-reshape", {"length_m": "4"}, "width_m", "both length and width"),
        ("committee-bed-reshape", {"corners": "1,1\n2,2\n2,1\n1,2"}, "corners", "crosses itself"),
        ("committee-bed-split", {}, "parts", "not both"),
        ("committee-bed-split", {"parts": "1"}, "parts", "from 2 to 12"),
        ("committee-bed-split", {"at_m": "5"}, "at_m", "The side is 5.00 m long"),
        ("committee-bed-join", {}, "other", "Choose the bed"),
        ("committee-bed-join", {"other": "999"}, "other", "gone or closed"),
    ],
)
def test_work_that_cannot_be_is_refused_at_its_field(cast, send, name, typed, field, sentence):
    assert sentence in faults(send(name, cast.bed.pk, **{"on": TODAY, **typed}), field)
    assert lasting(cast.plot) == ["bed 1"]


def test_beds_apart_are_not_joined(cast, send):
    other = factories.make_bed(cast.plot, "bed 2", since=SINCE, corner=(1, 5))

    answer = send("committee-bed-join", cast.bed.pk, other=other.pk, on=TODAY)

    assert "they lie 2.80 m apart" in faults(answer, "other")


def test_a_container_is_moved_with_its_mix(cast, send):
    tub = factories.make_bed(
        cast.plot, "tub", since=SINCE, corner=(10, 4), kind="container", height_m=0.5,
        outline=rectangle((10, 4), length_m=1, width_m=1),
    )  # fmt: skip

    answer = send("committee-bed-move", tub.pk, east_m="1.5")

    assert said(answer) == ["Moved, with its mix."]
    tub.refresh_from_db()
    assert (tub.until, tub.outline[0]) == (None, [11.5, 4])


def test_the_page_of_a_bed_tells_what_its_ground_carried_under_another_name(cast, look, keep):
    factories.make_sowing(cast.bed, season=2026, state="lifted", sown_on="2026-04-01", ended_on="2026-08-01")
    keep("committee-bed-split", cast.bed.pk, parts="2", on=TODAY)
    half = Bed.objects.get(name="bed 1a")

    page = look("committee-bed", half.pk)

    assert "Bed 1a on plot 7 is 2.5 m by 1.2 m" in page
    assert "2026" in page
    assert "<td>bed 1</td><td>100 %</td>" in page


@pytest.mark.parametrize("count", [1, 50])
def test_a_beds_page_costs_the_same_with_one_past_and_with_fifty(cast, look, count):
    for number in range(count):
        bed = factories.make_bed(cast.plot, f"bed {number + 2}", since=SINCE, corner=(1, 1))
        factories.make_sowing(bed, season=2026, state="lifted")
        factories.make_sowing(bed, season=2027)

    with CaptureQueriesContext(connection) as queries:
        look("committee-bed", cast.bed.pk)

    # session, account, society, members, seat; bed with plot and site, what stands, the years, the plot's
    # beds; the society in the frame
    assert len(queries) == 10


@pytest.mark.parametrize("count", [1, 50])
def test_looking_at_a_row_costs_the_same_for_one_bed_and_for_fifty(cast, dee, count):
    row = {**ROW, "row": f"{count} beds of 0.2 x 1 m, paths 0.05 m"}

    with CaptureQueriesContext(connection) as queries:
        answer = dee.post(reverse("committee-bed-row", args=[cast.plot.pk]), row)

    assert answer.status_code == 200
    # session, account, society, members, seat; plot, its beds, those that last, what stands; the frame
    assert len(queries) == 10
