"""What needs the committee today, and who reads it."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from schedules.models import ForecastState
from society.models import Invitation
from tests import factories
from tests.schedules.committee.conftest import NOW, SINCE, TODAY


def warn(cast, bed=None, **fields):
    sowing = factories.make_sowing(bed or cast.bed, season=2027)
    return factories.make_verdict(sowing, level="broken", judged_at=NOW, **fields)


def invite(member, name="one", **fields):
    values = {"made_at": NOW, "expires_at": NOW + timedelta(days=14), **fields}
    return Invitation.objects.create(member=member, email=f"{name}@x.example", token_hash=name, **values)


def test_a_quiet_day_says_so(look):
    assert "Nothing needs the committee today" in look("committee")


def test_each_kind_of_need_is_a_sentence_with_its_number(cast, look):
    warn(cast)
    factories.make_delivery(cast.ana, local_date=TODAY, state="held")
    factories.make_delivery(cast.ben, local_date=TODAY, state="refused")
    factories.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(40, 0))
    factories.make_waiting_entry(cast.site, cast.ben, asked_on=SINCE)
    invite(cast.ana)

    page = look("committee")

    assert "Four things need the committee today" in page
    assert "one sowing on ground that has not rested" in page
    assert "one held until you decide" in page
    assert "one refused by the mail server" in page
    assert "one is vacant" in page
    assert "one member waits" in page
    assert "one unanswered" in page


def test_a_problem_of_the_ground_waits_until_it_is_confirmed_or_withdrawn(cast, look):
    waits = factories.make_sighting(cast.bed, "clubroot", on=TODAY)
    factories.make_sighting(cast.bed, "white-rot", on=TODAY, is_sure=True)

    page = look("committee")

    assert "One thing needs the committee today" in page
    assert "one pest or disease of the ground to look at" in page
    waits.withdrawn_at, waits.withdrawn_because = NOW, "It was only drought."
    waits.save()
    assert "Nothing needs the committee today" in look("committee")


def forecast_state(site, settings, **fields):
    settings.FORECAST_CONTACT = "keeper@alderlane.example"
    return ForecastState.objects.create(site=site, **fields)


def test_a_forecast_that_fails_for_long_is_said_with_its_reason(cast, look, settings):
    forecast_state(
        cast.site, settings, state="failing", problem="the service did not answer",
        fetched_at=NOW - timedelta(days=1), expires_at=NOW - timedelta(hours=23), tries=2,
    )  # fmt: skip

    page = look("committee")

    assert "One thing needs the committee today" in page
    assert "Forecast for Alder Lane:" in page
    assert "the service did not answer" in page


@pytest.mark.parametrize(
    ("state", "contact"),
    [("failing", "keeper@alderlane.example"), ("stopped", ""), ("good", "keeper@x.example")],
)
def test_a_forecast_that_mends_itself_is_off_or_is_good_needs_nobody(cast, look, settings, state, contact):
    forecast_state(
        cast.site, settings, state=state, problem="the service did not answer",
        fetched_at=NOW - timedelta(hours=1), expires_at=NOW + timedelta(hours=1), tries=1,
    )  # fmt: skip
    settings.FORECAST_CONTACT = contact

    assert "Nothing needs the committee today" in look("committee")


def test_a_refusal_by_the_service_is_said_at_once(cast, look, settings):
    forecast_state(
        cast.site, settings, state="stopped", problem="refused",
        fetched_at=NOW - timedelta(hours=1), expires_at=NOW + timedelta(hours=1),
    )  # fmt: skip

    assert "The forecast service refuses this server" in look("committee")


def test_what_was_settled_needs_nobody(cast, look):
    warn(cast, overruled_at=NOW, overruled_because="new soil was brought in")
    factories.make_delivery(cast.ana, local_date=TODAY, state="sent")
    invite(cast.ana, accepted_at=NOW)

    assert "Nothing needs the committee today" in look("committee")


def test_a_letter_refused_long_ago_is_past_helping(cast, look):
    factories.make_delivery(cast.ana, local_date=TODAY - timedelta(days=60), state="refused")

    assert "Nothing needs the committee today" in look("committee")


def test_the_head_leads_the_committee_to_the_book_and_nobody_else(cast, look, client):
    assert f'href="{reverse("committee")}"' in look("this-week")
    client.force_login(cast.ana_account)
    assert f'href="{reverse("committee")}"' not in client.get("/").content.decode()


def test_an_administrator_opens_the_book_to_seat_the_first_committee(cast, client):
    kit = factories.make_member(cast.society, "Kit Cable", joined_on=SINCE)
    client.force_login(factories.make_account(kit, since=SINCE, is_administrator=True))

    assert client.get(reverse("committee")).status_code == 200
    assert client.get(reverse("plot", args=[cast.plot.pk])).status_code == 404


@pytest.mark.parametrize("count", [1, 50])
def test_the_front_costs_the_same_for_one_and_for_fifty(cast, look, count):
    for number in range(count):
        member = factories.make_member(cast.society, f"Member {number}", joined_on=SINCE, email="")
        factories.make_delivery(member, local_date=TODAY, state="held")
        plot = factories.make_plot(cast.site, f"A{number}", laid_out_on=SINCE, corner=(40, 9 * number))
        warn(cast, factories.make_bed(plot, since=SINCE, corner=(41, 9 * number + 1)))
        invite(member, str(number))

    with CaptureQueriesContext(connection) as queries:
        look("committee")

    # session, account, society, members, seat; sites, invitations twice, warnings, letters, vacant, waiting;
    # the society in the frame
    assert len(queries) == 14
