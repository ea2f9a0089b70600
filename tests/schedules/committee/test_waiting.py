"""The waiting list and its offers."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from plots.models import PlotOffer, Tenancy, WaitingEntry
from tests import factories
from tests.schedules.committee.conftest import SINCE, TODAY, said


@pytest.fixture
def vacant(cast):
    return factories.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))


@pytest.fixture
def entry(cast):
    return factories.make_waiting_entry(cast.site, cast.ben, asked_on=SINCE)


def test_an_empty_list_says_so(look):
    assert "Nobody waits for Alder Lane" in look("committee-waiting")


def test_the_list_tells_who_waits_and_what_is_vacant(vacant, entry, look):
    page = look("committee-waiting")

    assert "One member waits for Alder Lane, one plot is vacant" in page
    assert "Ben Hurdle" in page


@pytest.mark.parametrize("count", [1, 50])
def test_the_list_costs_the_same_for_one_and_for_fifty(cast, vacant, look, count):
    for number in range(count):
        member = factories.make_member(cast.society, f"Abel {number}", joined_on=SINCE, email="")
        entry = factories.make_waiting_entry(cast.site, member, asked_on=SINCE)
        factories.make_offer(entry, vacant, made_on=SINCE, lapses_on=SINCE)

    with CaptureQueriesContext(connection) as queries:
        look("committee-waiting")

    # session, account, society, members, seat; sites, vacant, count, entries, offers, their
    # plots; the society in the frame
    assert len(queries) == 12


def test_somebody_is_put_on_the_list_once(cast, send):
    send("committee-waiting-add", member=cast.ben.pk, asked_on=TODAY)

    answer = send("committee-waiting-add", member=cast.ben.pk, asked_on=TODAY)

    assert "is on the waiting list" in answer.context["form"].errors["member"][0]
    assert WaitingEntry.objects.get().asked_on == TODAY


def test_who_waits_no_longer_is_taken_off(entry, send):
    send("committee-waiting-close", entry.pk, on=TODAY)

    entry.refresh_from_db()
    assert entry.closed_on == TODAY


def test_an_entry_cannot_close_before_it_was_made(entry, send):
    answer = send("committee-waiting-close", entry.pk, on=date(2019, 1, 1))

    assert answer.status_code == 422
    assert "they asked on" in answer.context["form"].errors["on"][0].lower()


def test_a_vacant_plot_is_offered_and_taken(cast, vacant, entry, send):
    send("committee-offer-add", entry.pk, plot=vacant.pk, lapses_on=date(2027, 4, 26))

    answer = send("committee-offer-answer", PlotOffer.objects.get().pk, answer="yes", on=TODAY)

    assert said(answer) == ["Plot 9 is let to Ben Hurdle."]
    assert list(Tenancy.objects.get(plot=vacant).holders.all()) == [cast.ben]


def test_who_says_no_stays_on_the_list(vacant, entry, send):
    offer = factories.make_offer(entry, vacant, made_on=TODAY, lapses_on=TODAY)

    answer = send("committee-offer-answer", offer.pk, answer="no", on=TODAY)

    assert said(answer) == ["Ben Hurdle stays on the list."]
    assert WaitingEntry.objects.get().closed_on is None


def test_an_answer_after_its_day_is_refused(vacant, entry, send):
    offer = factories.make_offer(entry, vacant, made_on=SINCE, lapses_on=SINCE)

    answer = send("committee-offer-answer", offer.pk, answer="yes", on=TODAY)

    assert answer.status_code == 422
    assert "make a new one" in answer.context["form"].errors["on"][0]


def test_a_plot_that_is_held_is_not_offered(cast, entry, send):
    answer = send("committee-offer-add", entry.pk, plot=cast.plot.pk, lapses_on=date(2027, 4, 26))

    assert answer.context["form"].errors["plot"] == ["This plot is not vacant now."]
