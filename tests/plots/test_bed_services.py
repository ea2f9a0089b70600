"""Beds are corrected and closed, and never take their past along."""

from datetime import date

import pytest

from plots.bed_checks import StandsThere
from plots.bed_services import bed_change, bed_close
from plots.changes import StaleRow
from plots.ground_services import ground_check
from plots.models import Bed, GroundVerdict, Sowing
from plots.shapes import Rectangle
from tests import factories as make
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
SINCE, TODAY = date(2024, 1, 1), date(2027, 2, 1)
NOW = make.instant(TODAY)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


def test_changing_a_bed_never_moves_what_grows_in_it(cast: make.Cast) -> None:
    sowing = make.make_sowing(cast.bed, season=2026, state=Sowing.State.SOWN, sown_on=date(2026, 8, 1))
    before, shape = sowing.patch.outline, Rectangle(1, 4, 2, 1)
    with pytest.raises(StandsThere, match="Carrot, early stands in bed 1"):
        bed_change(bed=cast.bed, version=1, account=None, now=NOW, shape=shape)
    bed_change(
        bed=cast.bed, version=1, standing_seen=[sowing.pk], account=None, now=NOW, shape=shape, name="b"
    )
    sowing.patch.refresh_from_db()
    assert sowing.patch.outline == before


def test_a_new_name_is_not_asked_about(cast: make.Cast) -> None:
    make.make_sowing(cast.bed, season=2027)
    changed = bed_change(bed=cast.bed, version=1, account=None, now=NOW, name="by the tap")
    assert changed.name == "by the tap"


def test_a_bed_that_is_a_container_is_judged_by_its_mix(cast: make.Cast) -> None:
    past = {"state": "lifted", "sown_on": date(2026, 4, 1), "ended_on": date(2026, 8, 1)}
    other = make.make_bed(cast.plot, "long bed", since=SINCE, corner=(1, 1))
    make.make_sowing(other, season=2026, **past)
    sowing = make.make_sowing(cast.bed, season=2027)
    ground_check(site=cast.site, now=NOW)
    assert GroundVerdict.objects.get(sowing=sowing).level == "broken"
    Bed.objects.filter(pk=other.pk).update(until=SINCE)

    bed_change(
        bed=cast.bed,
        version=1,
        standing_seen=[sowing.pk],
        account=None,
        now=NOW,
        kind="container",
        height_m=0.5,
    )

    assert GroundVerdict.objects.get(sowing=sowing).level != "broken"


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
