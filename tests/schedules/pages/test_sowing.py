"""One sowing: reading it, changing it, withdrawing or clearing it."""

from datetime import date
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.test import Client
from django.urls import reverse

from plots.models import GroundVerdict, Sowing
from schedules.job_services import job_record
from schedules.models import Job
from schedules.sowing_services import sowing_plan, sowing_plan_change
from society import clock
from tests.factories import Cast, make_bed, make_sowing
from tests.schedules.pages.conftest import SINCE, TODAY


@pytest.fixture
def planned(cast: Cast) -> Sowing:
    return sowing_plan(
        plot=cast.plot, bed=cast.bed, crop_key="carrot-early", sow_on=date(2027, 4, 20),
        member=cast.ana, account=None, now=clock.now(),
    )  # fmt: skip


@pytest.fixture
def standing(cast: Cast, planned: Sowing) -> Sowing:
    job_record(
        job_key=f"{planned.key}/sow", outcome="done", on=TODAY, account=cast.ana_account, now=clock.now()
    )
    planned.refresh_from_db()
    return planned


def page_of(client: Client, sowing: Sowing) -> str:
    return client.get(reverse("sowing", args=[sowing.pk])).content.decode()


def change(client: Client, sowing: Sowing, **fields: Any) -> Any:
    day = sowing.sow_on.isoformat() if sowing.sow_on else ""
    data = {"version": sowing.version, "when": "day", "sow_on": day, "cover": "none", **fields}
    return client.post(reverse("sowing", args=[sowing.pk]), data)


def end(client: Client, sowing: Sowing, **fields: Any) -> Any:
    data = {"version": sowing.version, **fields}
    return client.post(reverse("sowing-end", args=[sowing.pk]), data)


def test_the_first_sentence_is_what_comes_next(cast, as_account, standing):
    page = page_of(as_account(cast.ana_account), standing)

    assert "<h1>Water carrot (early), from Thursday" in page
    assert "in the ground, sown on 12 April 2027." in page


def test_a_plan_shows_its_season_its_rows_and_its_verdict(cast, as_account, planned):
    page = page_of(as_account(cast.ana_account), planned)

    assert "<dt>Sow</dt><dd><p>On 20 April 2027" in page
    assert "<dt>Rows show</dt>" in page
    assert "<strong>Rested.</strong> No crop of the carrot family is on record here" in page


def test_a_job_says_what_became_of_it(cast, as_account, standing):
    assert "Done on 12 April 2027" in page_of(as_account(cast.ana_account), standing)


def test_a_changed_day_moves_the_jobs(cast, as_account, planned):
    before = Job.objects.get(sowing=planned, kind="lift").start_on

    change(as_account(cast.ana_account), planned, sow_on="2027-05-20", cover="mesh")

    planned.refresh_from_db()
    assert (planned.sow_on, planned.cover) == (date(2027, 5, 20), "mesh")
    assert Job.objects.get(sowing=planned, kind="lift").start_on > before


def test_a_day_in_the_next_season_takes_the_plan_there(cast, as_account, planned):
    change(as_account(cast.ana_account), planned, sow_on="2028-04-20")

    planned.refresh_from_db()
    assert planned.season == 2028


def test_a_change_to_tired_ground_says_so(cast, as_account, planned):
    make_sowing(cast.bed, "parsnip", season=2027, sow_on=date(2027, 11, 1), last_season=2027)

    answer = change(as_account(cast.ana_account), planned, sow_on="2028-04-20")

    said = [str(message) for message in get_messages(answer.wsgi_request)]
    assert "Mind the ground: by this change it is under the least rest." in said


def test_a_change_that_changes_nothing_says_that(cast, as_account, planned):
    client = as_account(cast.ana_account)

    answer = change(client, planned)

    assert "It stood so already." in client.get(answer.url).content.decode()


def test_a_plan_may_be_left_to_the_ground(cast, as_account, planned):
    change(as_account(cast.ana_account), planned, when="fit", not_before="2027-05-01")

    planned.refresh_from_db()
    assert (planned.sow_on, planned.not_before) == (None, date(2027, 5, 1))


def test_a_stale_change_says_what_changed_and_overwrites_nothing(cast, as_account, planned):
    sowing_plan_change(
        sowing=planned, version=1, account=cast.ben_account, now=clock.now(), cover="fleece", variety="Nantes"
    )

    answer = change(as_account(cast.ana_account), planned, sow_on="2027-05-20", cover="mesh")

    page = answer.content.decode()
    assert answer.status_code == 409
    assert "The sowing changed while you had the page open: the cover and the variety." in page
    assert "You had written: sow on 2027-05-20, fine mesh." in page
    planned.refresh_from_db()
    assert (planned.cover, planned.sow_on) == ("fleece", date(2027, 4, 20))


def test_a_plan_sown_meanwhile_is_not_moved(cast, as_account, planned, standing):
    stale = {"version": 1, "when": "day", "sow_on": "2027-06-01", "cover": "none"}

    answer = as_account(cast.ana_account).post(reverse("sowing", args=[planned.pk]), stale)

    assert answer.status_code == 409
    planned.refresh_from_db()
    assert planned.sown_on == TODAY


def test_a_day_that_cannot_be_is_told_at_its_field(cast, as_account, planned):
    answer = change(as_account(cast.ana_account), planned, sow_on="soon")

    assert answer.status_code == 422
    assert "“soon” is no date" in answer.content.decode()


def test_a_day_on_which_something_else_stands_is_refused_in_words(cast, as_account, planned):
    make_sowing(cast.bed, "parsnip", season=2028, sow_on=date(2028, 3, 1))

    answer = change(as_account(cast.ana_account), planned, sow_on="2028-04-20")

    assert answer.status_code == 422
    assert "of it lie over Parsnip, which is planned there for 2028" in answer.content.decode()


def test_an_incomplete_page_is_refused_with_its_remedy(cast, as_account, planned):
    answer = change(as_account(cast.ana_account), planned, version="")

    assert answer.status_code == 422
    assert "The page was incomplete. Load it again" in answer.content.decode()


def test_of_what_stands_the_cover_may_change_and_its_days_may_not(cast, as_account, standing):
    change(as_account(cast.ana_account), standing, sow_on="2027-06-01", cover="mesh")

    standing.refresh_from_db()
    assert (standing.cover, standing.sown_on, standing.sow_on) == ("mesh", TODAY, date(2027, 4, 20))


def test_withdrawing_asks_first(cast, as_account, planned):
    answer = as_account(cast.ana_account).get(reverse("sowing-end", args=[planned.pk]))

    assert "Withdraw the plan for carrot (early)?" in answer.content.decode()
    assert Sowing.objects.filter(pk=planned.pk).exists()


def test_a_plan_withdrawn_is_gone_with_its_jobs(cast, as_account, planned):
    answer = end(as_account(cast.ana_account), planned)

    assert answer.url == reverse("plot", args=[cast.plot.pk])
    assert not Sowing.objects.exists()
    assert not Job.objects.exists()


def test_what_stands_is_cleared_and_stays_on_record(cast, as_account, standing):
    end(as_account(cast.ana_account), standing, on=TODAY.isoformat())

    standing.refresh_from_db()
    assert (standing.state, standing.ended_on) == ("cleared", TODAY)
    assert not Job.objects.filter(state="open", is_asked=True).exists()


@pytest.mark.parametrize(
    ("day", "sentence"),
    [
        ("", "The day is missing; enter the day on which it was cleared."),
        ("2027-04-13", "Give a day from 2027-04-12 to today, 2027-04-12."),
        ("then", "“then” is no date"),
    ],
)
def test_a_day_of_clearing_that_cannot_be_is_refused(cast, as_account, standing, day, sentence):
    answer = end(as_account(cast.ana_account), standing, on=day)

    assert answer.status_code == 422
    assert sentence in answer.content.decode()
    standing.refresh_from_db()
    assert standing.state == "sown"


def test_a_stale_withdrawal_is_refused(cast, as_account, planned):
    sowing_plan_change(sowing=planned, version=1, account=None, now=clock.now(), cover="fleece")

    answer = end(as_account(cast.ana_account), planned)

    assert answer.status_code == 409
    assert Sowing.objects.filter(pk=planned.pk).exists()


def test_what_is_out_of_the_ground_is_not_cleared_again(cast, as_account, standing):
    client = as_account(cast.ana_account)
    end(client, standing, on=TODAY.isoformat())
    standing.refresh_from_db()

    answer = end(client, standing, on=TODAY.isoformat())

    assert answer.url == reverse("sowing", args=[standing.pk])
    page = page_of(client, standing)
    assert "Carrot, early is out of the ground already." in page
    assert "<h1>Carrot, early: cleared early, today</h1>" in page


def test_a_sowing_of_another_plot_does_not_exist(cast, as_account, planned):
    client = as_account(cast.col_account)

    assert change(client, planned, cover="mesh").status_code == 404
    assert end(client, planned).status_code == 404
    planned.refresh_from_db()
    assert planned.cover == "none"


def test_a_helper_may_change_and_withdraw(cast, as_account, planned):
    client = as_account(cast.ben_account)

    assert change(client, planned, cover="mesh").status_code == 302
    planned.refresh_from_db()
    assert end(client, planned).status_code == 302


def test_what_is_typed_is_never_taken_for_markup(cast, as_account, planned):
    change(as_account(cast.ana_account), planned, variety="<b>bold</b>")

    assert "<b>bold" not in page_of(as_account(cast.ana_account), planned)


# session, account, society, members, seat, sowing, workers, jobs, society again in the frame
SOWING_QUERIES = 9


def test_a_sowing_costs_the_same_beside_one_and_beside_fifty(
    cast, as_account, planned, django_assert_num_queries
):
    client = as_account(cast.ana_account)
    with django_assert_num_queries(SOWING_QUERIES):
        page_of(client, planned)

    for number in range(49):
        make_sowing(make_bed(cast.plot, f"bed {number + 2}", since=SINCE), season=2027)
    with django_assert_num_queries(SOWING_QUERIES):
        page_of(client, planned)


def test_an_overruling_that_lapsed_says_what_it_was_for(cast, as_account, planned):
    GroundVerdict.objects.filter(sowing=planned).update(
        level="broken", overruled_at=clock.now(), overruled_because="new soil was brought in",
        overruled_level="short", overruling_lapsed=True,
    )  # fmt: skip

    page = page_of(as_account(cast.ana_account), planned)

    assert "new soil was brought in" in page
    assert "short of the rest advised" in page
