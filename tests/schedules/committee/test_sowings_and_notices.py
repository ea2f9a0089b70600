"""What is sown across the site in a month, and what the committee tells everybody."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from schedules.models import Notice
from tests import factories
from tests.schedules.committee.conftest import NOW, SINCE, TODAY, said

NOTICE = {"text": "The water is on.", "since": TODAY, "until": date(2027, 4, 20), "is_public": "no"}


def test_a_month_is_read_plot_by_plot(cast, look):
    factories.make_sowing(cast.bed, season=2027, sow_on=date(2027, 4, 20))
    factories.make_sowing(cast.other_bed, "turnip", season=2027, sown_on=date(2027, 4, 2), state="sown")

    page = look("committee-sowings")

    assert "Two sowings at Alder Lane in April 2027" in page
    assert "wished for Tuesday 20 April" in page
    assert "went in on Friday 2 April" in page
    assert page.index("Plot 7") < page.index("Plot 8")


def test_a_sowing_on_tired_ground_says_so(cast, look):
    sowing = factories.make_sowing(cast.bed, season=2027, sow_on=date(2027, 4, 20))
    factories.make_verdict(sowing, level="broken", judged_at=NOW)

    assert "Ground not rested" in look("committee-sowings").split("<h2>")[1]


def test_another_month_is_another_page(cast, look):
    factories.make_sowing(cast.bed, season=2027, sow_on=date(2027, 12, 20))

    assert "Nothing is sown in April 2027" in look("committee-sowings")
    page = look("committee-sowings", year=2027, month=12)
    assert "One sowing" in page
    assert "year=2028&amp;month=1" in page
    assert "year=2027&amp;month=11" in page


@pytest.mark.parametrize("query", [{"month": 13}, {"month": "May"}, {"year": "1066"}, {"year": "٢٠٢٧"}])
def test_a_month_that_is_none_is_not_found(dee, cast, query):
    assert dee.get("/committee/sowings/", query).status_code == 404


@pytest.mark.parametrize("count", [1, 50])
def test_a_month_costs_the_same_for_one_and_for_fifty(cast, look, count):
    for _ in range(count):
        sowing = factories.make_sowing(cast.bed, season=2027, sow_on=date(2027, 4, 20))
        factories.make_verdict(sowing, level="sound", judged_at=NOW)

    with CaptureQueriesContext(connection) as queries:
        look("committee-sowings")

    # session, account, society, members, seat; sites, count, sowings; the society in the frame
    assert len(queries) == 9


def test_a_notice_is_put_up_for_members_or_for_everybody(cast, send):
    send("committee-notice-add", **NOTICE)
    send("committee-notice-add", **{**NOTICE, "is_public": "yes"})

    assert list(Notice.objects.order_by("pk").values_list("is_public", "is_urgent")) == [
        (False, False),
        (True, False),
    ]


def test_the_page_says_what_is_sent(cast, look):
    assert "Urgent ones go out by letter as well" in look("committee-notices")
    assert "Urgent: tell it by letter as well" in look("committee-notice-add")


@pytest.mark.parametrize(
    ("field", "typed", "sentence"),
    [
        ("text", "", "Write what the notice says."),
        ("text", "x" * 401, "Say it in 400 letters; these are 401."),
        ("until", "2027-04-01", "give that day or a later one"),
        ("until", "2029-04-01", "a year at most"),
        ("is_public", "", "Say who reads it."),
    ],
)
def test_what_is_wrong_with_a_notice_is_said_at_its_field(cast, send, field, typed, sentence):
    answer = send("committee-notice-add", **{**NOTICE, field: typed})

    assert answer.status_code == 422
    assert sentence.lower() in answer.context["form"].errors[field][0].lower()
    assert not Notice.objects.exists()


@pytest.fixture
def notice(cast):
    return factories.make_notice(cast.site, "The water is on.", since=TODAY, until=TODAY + timedelta(days=3))


def test_a_notice_is_changed(notice, send):
    send("committee-notice-change", notice.pk, **{**NOTICE, "text": "The water is off.", "version": 1})

    notice.refresh_from_db()
    assert (notice.text, notice.is_public, notice.version) == ("The water is off.", False, 2)


def test_a_stale_notice_page_overwrites_nothing(notice, send):
    send("committee-notice-change", notice.pk, **{**NOTICE, "text": "First.", "version": 1})

    answer = send("committee-notice-change", notice.pk, **{**NOTICE, "text": "Second.", "version": 1})

    assert answer.status_code == 409
    assert "What it says: now First." in answer.content.decode()


def test_a_notice_comes_down_at_once(notice, send, look):
    answer = send("committee-notice-end", notice.pk)

    assert said(answer) == ["The notice is down."]
    assert "The water is on." not in look("this-week")


def test_a_notice_comes_down_once(notice, send):
    send("committee-notice-end", notice.pk)

    assert said(send("committee-notice-end", notice.pk)) == ["It came down after 2027-04-11 already."]


@pytest.mark.parametrize("count", [1, 50])
def test_the_notices_cost_the_same_for_one_and_for_fifty(cast, look, count):
    for number in range(count):
        factories.make_notice(cast.site, f"n {number}", since=SINCE, until=TODAY)

    with CaptureQueriesContext(connection) as queries:
        look("committee-notices")

    # session, account, society, members, seat; sites, count, those that stand, notices; society in the frame
    assert len(queries) == 10
