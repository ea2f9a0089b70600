"""Waiting for a plot, being offered one, answering."""

from datetime import date

import pytest

from plots.holding_selectors import waiting_list
from plots.models import Plot, PlotOffer, Tenancy, WaitingEntry
from plots.waiting_services import offer_answer, offer_make, waiting_add, waiting_close
from tests import factories as make
from tests.plots.refusals import refused

pytestmark = pytest.mark.django_db
SINCE, TODAY, LAPSES = date(2024, 1, 1), date(2027, 5, 10), date(2027, 5, 24)
NOW = make.instant(TODAY)


@pytest.fixture
def cast() -> make.Cast:
    return make.make_cast(since=SINCE)


@pytest.fixture
def entry(cast: make.Cast) -> WaitingEntry:
    return waiting_add(site=cast.site, member=cast.dee, asked_on=TODAY, account=None, now=NOW)


@pytest.fixture
def vacant(cast: make.Cast) -> Plot:
    return make.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))


def offered(entry: WaitingEntry, plot: Plot) -> PlotOffer:
    return offer_make(entry=entry, plot=plot, made_on=TODAY, lapses_on=LAPSES, account=None, now=NOW)


def test_who_asked_first_is_first_on_the_list(cast: make.Cast, entry: WaitingEntry) -> None:
    earlier = waiting_add(site=cast.site, member=cast.ben, asked_on=SINCE, account=None, now=NOW)
    assert waiting_list(cast.site) == [earlier, entry]


def test_nobody_waits_twice(cast: make.Cast, entry: WaitingEntry) -> None:
    said = refused(waiting_add, site=cast.site, member=cast.dee, asked_on=TODAY, account=None, now=NOW)
    assert "already" in said["member"]


def test_yes_lets_the_plot_and_ends_the_waiting(entry: WaitingEntry, vacant: Plot) -> None:
    tenancy = offer_answer(offer=offered(entry, vacant), answer="yes", on=LAPSES, account=None, now=NOW)
    entry.refresh_from_db()
    assert tenancy == Tenancy.objects.get(plot=vacant, since=LAPSES)
    assert entry.closed_on == LAPSES


def test_no_leaves_the_place_on_the_list(cast: make.Cast, entry: WaitingEntry, vacant: Plot) -> None:
    offer_answer(offer=offered(entry, vacant), answer="no", on=TODAY, account=None, now=NOW)
    assert waiting_list(cast.site) == [entry]


def test_a_plot_is_offered_to_one_at_a_time(cast: make.Cast, entry: WaitingEntry, vacant: Plot) -> None:
    offered(entry, vacant)
    other = waiting_add(site=cast.site, member=cast.ben, asked_on=TODAY, account=None, now=NOW)
    said = refused(
        offer_make, entry=other, plot=vacant, made_on=TODAY, lapses_on=LAPSES, account=None, now=NOW
    )
    assert "wait for the answer" in said["plot"]


def test_a_held_plot_is_not_offered(cast: make.Cast, entry: WaitingEntry) -> None:
    said = refused(
        offer_make, entry=entry, plot=cast.plot, made_on=TODAY, lapses_on=LAPSES, account=None, now=NOW
    )
    assert "held by somebody" in said["plot"]


def test_an_offer_that_lapsed_is_not_answered(entry: WaitingEntry, vacant: Plot) -> None:
    late = date(2027, 5, 25)
    offer = offered(entry, vacant)
    assert (
        "make a new one"
        in refused(offer_answer, offer=offer, answer="yes", on=late, account=None, now=NOW)["on"]
    )
    assert not Tenancy.objects.filter(plot=vacant).exists()


def test_an_entry_closed_is_off_the_list(cast: make.Cast, entry: WaitingEntry) -> None:
    waiting_close(entry=entry, on=TODAY, account=None, now=NOW)
    assert waiting_list(cast.site) == []
