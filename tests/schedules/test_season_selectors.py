"""A site's year: its proposed beginning, and the sowings of a month."""

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from plots.models import Site, Sowing
from schedules.models import NormalMonth, Outlook
from schedules.season_selectors import season_start_of, sowings_in_month
from tests import factories as make

pytestmark = pytest.mark.django_db
SINCE = date(2024, 1, 1)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


def april(cast: make.Cast) -> list[tuple[str, int, bool]]:
    return [
        (each.sowing.crop, each.day.day, each.is_sown)
        for each in sowings_in_month(cast.site, year=2027, month=4)
    ]


def best_on(sowing: Sowing, day: date) -> None:
    dates = {f"sow_{name}": day for name in ("from", "best", "by")}
    Outlook.objects.create(sowing=sowing, worked_out_at=make.instant(SINCE), **dates)


def sow(cast: make.Cast, crop: str, **fields: Any) -> Sowing:
    return make.make_sowing(cast.bed, crop, season=2027, **fields)


def test_the_month_shows_what_was_sown_is_to_be_sown_and_is_best_sown_then(cast: make.Cast) -> None:
    sow(cast, "radish", sown_on=date(2027, 4, 20), sow_on=date(2027, 3, 1), state="sown")
    sow(cast, "turnip", sow_on=date(2027, 4, 1))
    best_on(sow(cast, "parsnip"), date(2027, 4, 30))
    sow(cast, "carrot-early", sow_on=date(2027, 5, 1))
    assert april(cast) == [("turnip", 1, False), ("radish", 20, True), ("parsnip", 30, False)]


def test_a_december_ends_with_the_year(cast: make.Cast) -> None:
    sow(cast, "turnip", sow_on=date(2027, 12, 31))
    assert len(sowings_in_month(cast.site, year=2027, month=12)) == 1


@pytest.mark.parametrize("count", [1, 50])
def test_a_month_takes_one_query(cast: make.Cast, count: int) -> None:
    for _ in range(count):
        sowing = sow(cast, "turnip", sow_on=date(2027, 4, 1))
        make.make_verdict(sowing, level="sound", judged_at=make.instant(SINCE))
        best_on(sowing, date(2027, 4, 1))
    with CaptureQueriesContext(connection) as queries:
        found = sowings_in_month(cast.site, year=2027, month=4)
        assert [
            (each.sowing.patch.plot.number, each.sowing.verdict.level, each.sowing.outlook.sow_best)
            for each in found
        ]
    assert (len(found), len(queries)) == (count, 1)


def test_the_season_is_proposed_from_the_coldest_month_of_the_normals(cast: make.Cast) -> None:
    NormalMonth.objects.filter(site=cast.site, month=7).update(tmin_c=-5.0, tmax_c=0.0)
    assert season_start_of(cast.site) == (7, 1)


def test_without_normals_nothing_is_proposed() -> None:
    assert season_start_of(make.make_cast(since=SINCE, normals=False).site) is None


def test_normals_that_come_later_do_not_move_the_season(cast: make.Cast) -> None:
    NormalMonth.objects.filter(site=cast.site, month=7).update(tmin_c=-5.0, tmax_c=0.0)
    assert Site.objects.get(pk=cast.site.pk).season_month == 1
