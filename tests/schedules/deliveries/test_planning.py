"""Which letters are written down, for whom and when."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest

from schedules.models import Delivery
from schedules.site_days import site_days_keep
from tests import factories
from tests.schedules.deliveries.steps import (
    FRIDAY,
    SEVEN_IN_LONDON,
    SINCE,
    State,
    anas,
    make_job,
    plan,
    states_of,
)

pytestmark = pytest.mark.django_db


def test_everyone_who_works_a_plot_with_a_due_job_gets_one_letter(due: factories.Cast) -> None:
    plan()
    assert set(Delivery.objects.values_list("member__name", flat=True)) == {"Ana Orchard", "Ben Hurdle"}


def test_planning_again_writes_nothing_new(due: factories.Cast) -> None:
    assert [plan(), plan(), plan(SEVEN_IN_LONDON + timedelta(hours=40))] == [2, 0, 0]


def test_every_planned_letter_has_its_first_step(due: factories.Cast) -> None:
    plan()
    assert states_of(anas()) == [State.DUE]


def test_the_message_id_is_the_rows_own(due: factories.Cast, settings: Any) -> None:
    plan()
    assert anas().message_id == f"<{anas().key}@{settings.MAIL_DOMAIN}>"


def test_nothing_is_planned_before_the_hour(due: factories.Cast) -> None:
    assert plan(SEVEN_IN_LONDON - timedelta(seconds=1)) == 0


def test_a_letter_more_than_48_hours_late_is_not_planned(due: factories.Cast) -> None:
    assert plan(SEVEN_IN_LONDON + timedelta(hours=48)) == 0


def test_a_letter_47_hours_late_is_planned_for_its_own_day(due: factories.Cast) -> None:
    plan(SEVEN_IN_LONDON + timedelta(hours=47))
    assert anas().local_date == FRIDAY


def test_no_letter_without_an_address(due: factories.Cast) -> None:
    type(due.ana).objects.filter(pk=due.ana.pk).update(email="")
    plan()
    assert not Delivery.objects.filter(member=due.ana).exists()


def test_no_letter_to_who_does_not_want_it(due: factories.Cast) -> None:
    factories.make_preference(due.ana, weekly=False)
    plan()
    assert not Delivery.objects.filter(member=due.ana).exists()


def test_no_letter_to_who_has_left(due: factories.Cast) -> None:
    type(due.ana).objects.filter(pk=due.ana.pk).update(left_on=FRIDAY)
    plan()
    assert not Delivery.objects.filter(member=due.ana).exists()


def test_a_job_that_begins_after_the_week_is_no_reason_for_a_letter(cast: factories.Cast) -> None:
    make_job(cast.bed, start_on=FRIDAY + timedelta(days=7))
    assert plan() == 0


def test_a_job_on_the_last_day_of_the_week_is(cast: factories.Cast) -> None:
    make_job(cast.bed, start_on=FRIDAY + timedelta(days=6))
    assert plan() == 2


def test_who_wants_a_letter_in_an_empty_week_gets_it(cast: factories.Cast) -> None:
    factories.make_preference(cast.col, weekly_when_empty=True)
    plan()
    assert Delivery.objects.get().member == cast.col


def test_a_chosen_day_and_hour_count(due: factories.Cast) -> None:
    factories.make_preference(due.ana, weekday=0, hour=18)
    plan(factories.instant(date(2027, 4, 12), 17))
    assert anas().due_at == factories.instant(date(2027, 4, 12), 17)


def test_whoever_chooses_an_earlier_day_after_the_letter_gets_none_for_that_day(due: factories.Cast) -> None:
    """Friday's letter has come; on Saturday morning Ana chooses Thursdays at eight, 47 hours ago."""
    plan()
    factories.make_preference(due.ana, weekday=3, hour=8)
    assert plan(SEVEN_IN_LONDON + timedelta(hours=24)) == 0
    assert plan(SEVEN_IN_LONDON + timedelta(days=6, hours=2)) == 1


def test_whoever_chooses_another_hour_on_the_very_day_gets_one_letter(due: factories.Cast) -> None:
    plan()
    wishes = factories.make_preference(due.ana, weekday=4, hour=18)
    assert plan(SEVEN_IN_LONDON + timedelta(hours=12)) == 0
    wishes.hour = 3
    wishes.save()
    assert plan(SEVEN_IN_LONDON + timedelta(hours=13)) == 0


def test_the_hour_is_the_sites_for_a_member_of_one_site(due: factories.Cast) -> None:
    type(due.site).objects.filter(pk=due.site.pk).update(zone="Pacific/Auckland")
    plan()
    assert anas().due_at == factories.instant(date(2027, 4, 8), 19)


def test_the_hour_is_the_societys_for_a_member_of_two_sites(due: factories.Cast) -> None:
    far = factories.make_site(due.society, name="Far Side", zone="Pacific/Auckland")
    plot = factories.make_plot(far, "1", laid_out_on=SINCE)
    factories.make_tenancy(plot, due.ana, since=SINCE)
    plan()
    assert anas().due_at == SEVEN_IN_LONDON


def test_planning_asks_the_database_no_more_for_many_members(
    due: factories.Cast, django_assert_max_num_queries: Callable[[int], Any]
) -> None:
    for number in range(30):
        member = factories.make_member(due.society, f"Member{number} Row", joined_on=SINCE)
        factories.make_co_worker(due.plot, member, since=SINCE)
    site_days_keep([due.site], today=FRIDAY, now=SEVEN_IN_LONDON)
    # notices; society, absences; sites, looks, forecasts; society again for Mondays. Then members, held,
    # helped, letters known, plots, first jobs, sites, their days, begin, rows, landed, steps, commit.
    with django_assert_max_num_queries(25):
        assert plan() == 32
