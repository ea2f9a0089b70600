"""Ground judged while the growers sleep: where, when, once a night."""

from datetime import UTC, date, datetime, timedelta

import pytest

from plots.models import GroundVerdict, Patch, Site
from schedules.ground_nights import grounds_check
from tests import factories

pytestmark = pytest.mark.django_db
EVENING = datetime(2027, 1, 12, 20, tzinfo=UTC)
NIGHT = datetime(2027, 1, 13, 2, tzinfo=UTC)


@pytest.fixture
def cast() -> factories.Cast:
    cast = factories.make_cast(since=date(2010, 1, 1), normals=False)
    factories.make_sowing(cast.bed, season=2027)
    return cast


def judged_at(now: datetime) -> bool:
    """Whether the sweep of an instant judges the ground, told by a verdict that was lost before."""
    GroundVerdict.objects.all().delete()
    grounds_check(now=now)
    return GroundVerdict.objects.exists()


def test_a_site_is_judged_when_it_is_new_and_then_once_a_night(cast: factories.Cast) -> None:
    assert judged_at(EVENING)
    assert not judged_at(EVENING + timedelta(hours=1))
    assert judged_at(NIGHT)
    assert not judged_at(NIGHT + timedelta(hours=1))
    assert not judged_at(NIGHT + timedelta(hours=20))
    assert judged_at(NIGHT + timedelta(hours=23, minutes=55))


def test_night_is_the_sites_own(cast: factories.Cast) -> None:
    Site.objects.update(zone="Pacific/Auckland")
    assert judged_at(EVENING)  # the morning of the 13th there
    assert not judged_at(NIGHT)  # the afternoon
    assert judged_at(datetime(2027, 1, 13, 13, tzinfo=UTC))  # two in the morning of the 14th


def test_a_server_that_sleeps_by_night_judges_by_day(cast: factories.Cast) -> None:
    assert judged_at(EVENING)
    assert not judged_at(EVENING + timedelta(hours=23))
    assert judged_at(EVENING + timedelta(hours=25))


def test_a_record_that_cannot_be_read_waits_for_the_next_night_and_hinders_no_other(
    cast: factories.Cast, caplog: pytest.LogCaptureFixture
) -> None:
    Patch.objects.update(outline=[[0, 0], [2, 2], [2, 0], [0, 2]])
    since = date(2010, 1, 1)
    other = factories.make_site(cast.society, name="Far Lane")
    plot = factories.make_plot(other, "1", laid_out_on=since, record_since=since.year)
    factories.make_sowing(factories.make_bed(plot, since=since), season=2027)

    assert judged_at(EVENING)
    assert GroundVerdict.objects.get().sowing.patch.site == other
    assert "cannot be judged" in caplog.text
    caplog.clear()
    grounds_check(now=EVENING + timedelta(hours=1))
    assert caplog.text == ""


def test_looking_costs_two_queries_where_nothing_is_due(
    cast: factories.Cast, django_assert_num_queries
) -> None:
    grounds_check(now=NIGHT)
    with django_assert_num_queries(2):
        grounds_check(now=NIGHT + timedelta(minutes=15))
