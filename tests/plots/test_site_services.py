"""Sites are entered once, and where their season begins stays."""

from datetime import date
from typing import Any

import pytest

from plots.changes import StaleRow
from plots.growing_year import season_start_proposed
from plots.models import Site
from plots.site_services import site_create, site_update
from society.models import JournalEntry
from tests import factories as make
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
NOW = make.instant(date(2027, 2, 1))
NORTH = [2, 3, 5, 8, 11, 14, 16, 16, 13, 10, 6, 1]  # an invented site, coldest in December
SOUTH = NORTH[6:] + NORTH[:6]  # the same year half a year later


def created(**fields: Any) -> Site:
    wish = {"name": "Mill End", "latitude": 52.0, "longitude": -1.0, **fields}
    return site_create(society=make.make_society(), account=None, now=NOW, **wish)


@pytest.mark.parametrize(("mean_c", "start"), [(NORTH, (12, 1)), (SOUTH, (6, 1))])
def test_the_season_begins_on_the_first_day_of_the_coldest_month(
    mean_c: list[float], start: tuple[int, int]
) -> None:
    site = created(mean_c=mean_c)
    assert (site.season_month, site.season_day) == start


@pytest.mark.parametrize(("latitude", "month"), [(52.0, 1), (-37.8, 7)])
def test_without_normals_the_season_begins_in_midwinter(latitude: float, month: int) -> None:
    assert created(latitude=latitude).season_month == month


def test_of_equally_cold_months_the_earlier_is_proposed() -> None:
    assert season_start_proposed([4, 3, 3, *range(4, 13)]) == (2, 1)


def test_the_season_given_outranks_the_climate() -> None:
    assert created(mean_c=NORTH, season_start=(3, 25)).season_day == 25


def test_two_sites_of_one_name_get_addresses_of_their_own() -> None:
    assert [created().slug, created().slug, created().slug] == ["mill-end", "mill-end-2", "mill-end-3"]


def test_all_that_is_wrong_is_said_by_field_and_nothing_is_saved() -> None:
    society = make.make_society()
    said = refused(
        site_create, society=society, name=" ", latitude=95.0, longitude=0.0, zone="Europe/Atlantis",
        soil="gravel", account=None, now=NOW,
    )  # fmt: skip
    assert set(said) == {"name", "latitude", "zone", "soil"}
    assert "sand, loam" in said["soil"]
    assert not Site.objects.exists()


def test_a_season_is_not_moved_once_something_is_on_record() -> None:
    cast = make.make_cast(since=date(2024, 1, 1))
    make.make_sowing(cast.bed, season=2027)
    said = refused(site_update, site=cast.site, version=1, account=None, now=NOW, season_month=4)
    assert "counted from" in said["season_month"]


def test_a_change_is_counted_and_journalled_without_free_words() -> None:
    site = created()
    changed = site_update(
        site=site, version=1, account=None, now=NOW, name="Mrs Orchard's field", height_m=40.0
    )
    entry = JournalEntry.objects.get(action="site.changed")
    assert changed.version == 2
    assert entry.values["fields"] == ["height_m", "name"]
    assert entry.values["was"] == {"height_m": 0.0}
    assert "Orchard" not in str(entry.values)


def test_saying_the_same_again_changes_nothing() -> None:
    site = created()
    assert site_update(site=site, version=1, account=None, now=NOW, name=site.name).version == 1
    assert not JournalEntry.objects.filter(action="site.changed").exists()


def test_a_stale_change_is_refused_with_what_changed() -> None:
    site = created()
    site_update(site=site, version=1, account=None, now=NOW, height_m=40.0)
    with pytest.raises(StaleRow, match="height_m") as caught:
        site_update(site=site, version=1, account=None, now=NOW, name="Mill Lane")
    assert caught.value.changed == ("height_m",)
    assert Site.objects.get().name == "Mill End"
