"""Beds lie inside their plot and clear of each other, and never take their past along."""

from datetime import date
from typing import Any

import pytest

from plots.bed_services import bed_change, bed_close, bed_create
from plots.changes import StaleRow
from plots.models import Bed, Sowing
from plots.shapes import Rectangle
from tests import factories as make
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
SINCE, TODAY = date(2024, 1, 1), date(2027, 2, 1)
NOW = make.instant(TODAY)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


def wish(cast: make.Cast, shape: Rectangle, **fields: Any) -> dict[str, Any]:
    base = {"plot": cast.plot, "name": "bed 2", "since": TODAY, "account": None, "now": NOW}
    return {**base, "shape": shape, **fields}


def test_a_bed_lies_at_any_angle_inside_its_plot(cast: make.Cast) -> None:
    bed = bed_create(**wish(cast, Rectangle(10, 3, 4, 1, angle_deg=35)))
    assert bed.outline[1] == [
        pytest.approx(10 + 4 * 0.8192, abs=1e-3),
        pytest.approx(3 + 4 * 0.5736, abs=1e-3),
    ]


def test_a_bed_over_the_edge_is_refused_with_distance_and_side(cast: make.Cast) -> None:
    said = refused(bed_create, **wish(cast, Rectangle(15.3, 4, 5, 1.2)))
    assert said["outline"].startswith("it would stick out 0.30 m over the east side of plot 7")


def test_a_bed_over_another_is_refused_with_the_area(cast: make.Cast) -> None:
    said = refused(bed_create, **wish(cast, Rectangle(5, 1, 5, 1.2)))
    assert said["outline"].startswith("1.20 m² of it lie over bed 1")


def test_a_bed_may_lie_where_another_was_closed(cast: make.Cast) -> None:
    bed_close(bed=cast.bed, on=TODAY, version=1, account=None, now=NOW)
    assert bed_create(**wish(cast, Rectangle(1, 1, 5, 1.2), name="bed 1")).pk


def test_two_beds_of_one_name_are_refused(cast: make.Cast) -> None:
    assert "another name" in refused(bed_create, **wish(cast, Rectangle(1, 4, 5, 1), name="bed 1"))["name"]


def test_a_container_needs_its_height(cast: make.Cast) -> None:
    said = refused(bed_create, **wish(cast, Rectangle(1, 4, 1, 1), kind="container"))
    assert "height in metres" in said["height_m"]


def test_a_bed_is_not_laid_out_on_land_given_up(cast: make.Cast) -> None:
    cast.plot.given_up_on = date(2026, 12, 31)
    cast.plot.save()
    assert "given up on 2026-12-31" in refused(bed_create, **wish(cast, Rectangle(1, 4, 1, 1)))["plot"]


def test_changing_a_bed_never_moves_what_grows_in_it(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2026, state=Sowing.State.SOWN, sown_on=date(2026, 8, 1))
    before = sowing.patch.outline
    bed_change(bed=cast.bed, version=1, account=None, now=NOW, shape=Rectangle(1, 4, 2, 1))
    sowing.patch.refresh_from_db()
    assert sowing.patch.outline == before


def test_a_bed_is_not_in_its_own_way(cast: make.Cast) -> None:
    changed = bed_change(bed=cast.bed, version=1, account=None, now=NOW, shape=Rectangle(1.1, 1, 5, 1.2))
    assert changed.version == 2


def test_a_stale_change_of_a_bed_overwrites_nothing(cast: make.Cast) -> None:
    bed_change(bed=cast.bed, version=1, account=None, now=NOW, name="by the tap")
    with pytest.raises(StaleRow, match="name"):
        bed_change(bed=cast.bed, version=1, account=None, now=NOW, name="by the gate")
    assert Bed.objects.get(pk=cast.bed.pk).name == "by the tap"


@pytest.mark.parametrize(
    ("state", "words"), [("sown", "lift or clear it first"), ("planned", "withdraw the plan")]
)
def test_a_bed_is_not_closed_under_what_is_in_it(cast: make.Cast, state: str, words: str) -> None:
    make.make_sowing(cast.bed, season=2027, state=state)
    assert words in refused(bed_close, bed=cast.bed, on=TODAY, account=None, now=NOW)["bed"]


def test_a_closed_bed_is_not_changed(cast: make.Cast) -> None:
    bed_close(bed=cast.bed, on=TODAY, account=None, now=NOW)
    said = refused(bed_change, bed=cast.bed, version=2, account=None, now=NOW, name="old bed")
    assert "lay out a new bed" in said["until"]
