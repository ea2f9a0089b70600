"""Keeping forecasts: what every kind of answer does to what is held, and when the next question comes."""

import time
from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from schedules import forecast_services
from schedules.forecast import client
from schedules.forecast_answers import judge, outcome_keep
from schedules.forecast_selectors import STALE_AFTER, Why, site_forecasts
from schedules.forecast_services import forecast_fetch, forecasts_refresh
from schedules.models import ForecastHour, ForecastState, WeatherDay
from schedules.weather_selectors import climate
from tests.factories import Cast, make_site, make_society, make_weather_day
from tests.schedules.forecast.answers import HOUR, body, document, http_date
from tests.schedules.forecast.conftest import CONTACT, NOW
from tests.schedules.forecast.service import LoopbackService, Reply, unused_address

pytestmark = pytest.mark.django_db
START = NOW.replace(minute=0)
WORDS = http_date(NOW - timedelta(minutes=9))
State = ForecastState.State
Serving = Callable[..., LoopbackService]


def good(status: int = 200, *, expires: datetime = NOW + timedelta(minutes=30), **fields: Any) -> Reply:
    headers = {"Expires": http_date(expires), "Last-Modified": WORDS}
    return Reply(status, body(START, **fields), headers)


def state_of(cast: Cast) -> ForecastState:
    return ForecastState.objects.get(site=cast.site)


def known(cast: Cast, now: datetime) -> Why | None:
    return site_forecasts([cast.site], now=now)[cast.site.pk].why_not


def held() -> tuple[list[Any], list[Any]]:
    hours = list(ForecastHour.objects.values_list("site", "at", "air_c", "wind_ms", "rain_mm"))
    return hours, list(
        WeatherDay.objects.filter(kind="forecast").values_list("site", "day", "tmin_c", "rain_mm")
    )


def test_with_no_contact_nothing_is_asked_and_nothing_known(
    cast: Cast, serving: Serving, settings: Any
) -> None:
    service = serving(good())
    settings.FORECAST_CONTACT = ""
    assert forecasts_refresh(now=NOW).asked == 0
    assert forecast_fetch(site=cast.site, now=NOW)[1] is False
    assert (service.requests, held()) == ([], ([], []))
    assert known(cast, NOW) == Why.OFF


def test_on_a_pretended_day_nothing_is_asked(cast: Cast, serving: Serving, settings: Any) -> None:
    service = serving(good())
    settings.PRETEND_TODAY = "2027-04-12"
    forecasts_refresh(now=NOW)
    assert (service.requests, known(cast, NOW)) == ([], Why.PRETENDED)


def test_a_good_answer_becomes_hours_and_days(cast: Cast, serving: Serving) -> None:
    serving(good(air_c=lambda at: at.hour / 2, wind_ms=lambda at: 3.0, rain_mm=lambda at: 0.5))
    assert forecasts_refresh(now=NOW) == forecast_services.Refresh(asked=1, good=1)
    hours = list(ForecastHour.objects.order_by("at"))
    assert (hours[0].at, len(hours)) == (START, 60)
    assert (hours[6].air_c, hours[6].wind_ms, hours[6].rain_mm, hours[6].humidity_pct) == (
        7.0,
        3.0,
        0.5,
        80.0,
    )
    days = list(WeatherDay.objects.filter(kind="forecast"))
    assert [day.day for day in days] == [date(2027, 4, 13) + timedelta(days=ahead) for ahead in range(9)]
    assert (days[0].tmin_c, days[0].tmax_c, days[0].rain_mm, days[0].wind_ms) == (0.0, 11.5, 12.0, 3.0)
    row = state_of(cast)
    assert (row.state, row.fetched_at, row.last_modified, row.problem) == (State.GOOD, NOW, WORDS, "")
    assert row.expires_at == NOW + timedelta(minutes=30)


def test_the_coming_days_are_those_that_plans_are_made_with(cast: Cast, serving: Serving) -> None:
    """Every member of the ensemble holds them alike, whatever the normals say."""
    serving(good(air_c=lambda at: -3.0 if at.hour == 4 else 21.0, rain_mm=lambda at: 0.25))
    forecasts_refresh(now=NOW)
    laid = climate(cast.site, today=date(2027, 4, 12), first=date(2027, 4, 12), days=30)
    assert (laid.tmin_c[:, 1:9] == -3.0).all()
    assert (laid.tmax_c[:, 1:9] == 21.0).all()
    assert (laid.rain_mm[:, 1:9] == 6.0).all()
    assert laid.tmin_c[:, 20].min() > -3.0


def test_observed_days_are_left_alone(cast: Cast, serving: Serving) -> None:
    make_weather_day(cast.site, date(2027, 4, 13), tmin_c=-9.0)
    serving(good())
    forecasts_refresh(now=NOW)
    assert WeatherDay.objects.get(kind="observed").tmin_c == -9.0


def test_a_new_answer_takes_the_place_of_the_old_one_as_a_whole(cast: Cast, serving: Serving) -> None:
    later = NOW + timedelta(hours=6)
    replies = [
        good(),
        Reply(200, body(later.replace(minute=0), hourly=12, six_hourly=6, air_c=lambda at: 4.0), {}),
    ]
    serving(lambda request: replies.pop(0))
    forecasts_refresh(now=NOW)
    forecasts_refresh(now=later)
    coming = ForecastHour.objects.filter(at__gte=later.replace(minute=0))
    assert {hour.air_c for hour in coming} == {4.0}
    assert len(coming) == 12
    assert list(WeatherDay.objects.values_list("day", flat=True)) == [date(2027, 4, 13)]


def test_the_hours_of_an_evening_that_is_over_stay_until_the_night_is(cast: Cast, serving: Serving) -> None:
    """At ten at night the night that began at six, and the rain of the day before it, are still asked for."""
    service = serving(good())
    for later in (0, 6, 18, 30, 42):
        begins = START + later * HOUR
        reply = Reply(200, body(begins, air_c=lambda at, later=later: float(later)), {})
        service.reply = lambda request, reply=reply: reply
        forecast_fetch(site=cast.site, now=NOW + later * HOUR)
    held_at = dict(ForecastHour.objects.order_by("at").values_list("at", "air_c"))
    assert [*held_at] == [START + number * HOUR for number in range(3, 42 + 60)]
    assert [held_at[START + number * HOUR] for number in (5, 6, 17, 18, 41, 42)] == [0, 6, 6, 18, 30, 42]


def test_todays_whole_day_of_last_night_outlives_this_mornings_answer(cast: Cast, serving: Serving) -> None:
    night = NOW - timedelta(hours=12)
    replies = [
        Reply(200, body(night.replace(minute=0), air_c=lambda at: 4.0), {}),
        Reply(200, body(START, air_c=lambda at: 9.0), {}),
    ]
    serving(lambda request: replies.pop(0))
    forecasts_refresh(now=night)
    forecasts_refresh(now=NOW)
    today, tomorrow = WeatherDay.objects.filter(day__in=["2027-04-12", "2027-04-13"]).order_by("day")
    assert (today.tmin_c, tomorrow.tmin_c) == (4.0, 9.0)


def test_nothing_is_asked_again_before_the_answer_expires(cast: Cast, serving: Serving) -> None:
    """The terms: no repeated request until the time in the Expires header; here an hour at the least."""
    for expires in (NOW + timedelta(minutes=30), NOW + timedelta(hours=7)):
        ForecastState.objects.all().delete()
        service = serving(good(expires=expires))
        forecasts_refresh(now=NOW)
        allowed = max(expires, NOW + timedelta(hours=1))
        for minute in range(0, 480, 5):
            at = NOW + timedelta(minutes=minute)
            if at < allowed:
                forecasts_refresh(now=at)
                forecast_fetch(site=cast.site, now=min(at, expires - timedelta(seconds=1)))
        assert len(service.requests) == 1
        forecasts_refresh(now=allowed + timedelta(minutes=10))
        assert len(service.requests) == 2


def test_sites_are_not_asked_for_at_the_same_moment(cast: Cast, serving: Serving) -> None:
    """The terms: spread the requests over time."""
    for number in range(9):
        make_site(cast.society, name=f"Field {number}")
    serving(good())
    forecasts_refresh(now=NOW)
    times = list(ForecastState.objects.values_list("next_try_at", flat=True))
    assert len(set(times)) == 10
    assert max(times) - min(times) > timedelta(minutes=3)


def test_304_keeps_what_is_there_and_takes_the_new_expiry(cast: Cast, serving: Serving) -> None:
    later = NOW + timedelta(hours=2)
    service = serving(
        lambda request: (
            Reply(304, headers={"Expires": http_date(later + timedelta(minutes=40))})
            if "If-Modified-Since" in request.headers
            else good()
        )
    )
    forecasts_refresh(now=NOW)
    before = held()
    forecasts_refresh(now=later)
    assert service.requests[1].headers["If-Modified-Since"] == WORDS
    row = state_of(cast)
    assert held() == before
    assert (row.state, row.fetched_at) == (State.GOOD, later)
    assert row.expires_at == later + timedelta(minutes=40)
    assert row.last_modified == WORDS


def test_203_is_taken_logged_and_shown(cast: Cast, serving: Serving, caplog: Any) -> None:
    """The terms: 203 means deprecated, and is to be logged or shown as a warning."""
    serving(good(203))
    forecasts_refresh(now=NOW)
    assert ForecastHour.objects.count() == 60
    assert "on its way out" in state_of(cast).problem
    assert "on its way out" in caplog.text


TROUBLES: list[tuple[str, Reply, str, str]] = [
    ("404", Reply(404), State.NOT_COVERED, "(404)"),
    ("422", Reply(422), State.NOT_COVERED, "(422)"),
    ("403", Reply(403), State.STOPPED, "(403)"),
    ("401", Reply(401), State.STOPPED, "(401)"),
    ("429", Reply(429), State.SLOWED, "(429)"),
    ("400", Reply(400), State.FAILING, "400"),
    ("500", Reply(500), State.FAILING, "500"),
    ("503", Reply(503), State.FAILING, "503"),
    ("204", Reply(204), State.FAILING, "204"),
    ("cut", Reply(200, body(START), cut_at=100), State.FAILING, "cut off"),
    ("garbage", Reply(200, b"{'single': 'quotes'}"), State.FAILING, "no JSON"),
    ("html", Reply(200, b"<html>", {"Content-Type": "text/html"}), State.FAILING, "text/html"),
    ("no fields", Reply(200, b"{}"), State.FAILING, "properties"),
    ("huge", Reply(200, b" " * 5_000_000), State.FAILING, "longer than"),
    ("past", Reply(200, body(START - timedelta(days=20))), State.FAILING, "still to come"),
]


@pytest.mark.parametrize(
    ("reply", "state", "words"), [row[1:] for row in TROUBLES], ids=[row[0] for row in TROUBLES]
)
def test_no_trouble_loses_what_was_good_until_it_is_too_old(
    cast: Cast, serving: Serving, reply: Reply, state: str, words: str
) -> None:
    replies = [good()]
    serving(lambda request: replies.pop() if replies else reply)
    forecasts_refresh(now=NOW)
    before, now = held(), NOW + timedelta(hours=2)
    forecasts_refresh(now=now)
    row = state_of(cast)
    assert (row.state, row.fetched_at, row.tries) == (state, NOW, 1)
    assert words in row.problem
    assert held() == before
    assert known(cast, now) is None
    assert known(cast, NOW + timedelta(minutes=30) + STALE_AFTER) is not None
    forecasts_refresh(now=NOW + timedelta(minutes=30) + STALE_AFTER)
    assert held() == ([], [])


@pytest.mark.parametrize(("reply", "state"), [row[1:3] for row in TROUBLES], ids=[row[0] for row in TROUBLES])
def test_a_trouble_at_the_first_question_leaves_nothing_known(
    cast: Cast, serving: Serving, reply: Reply, state: str
) -> None:
    serving(reply)
    forecasts_refresh(now=NOW)
    assert (state_of(cast).state, held()) == (state, ([], []))
    expected = {State.NOT_COVERED: Why.NOT_COVERED, State.STOPPED: Why.STOPPED}.get(state, Why.NEVER)
    assert known(cast, NOW) == expected


def test_304_to_a_question_without_a_date_is_no_answer(cast: Cast, serving: Serving) -> None:
    serving(Reply(304))
    forecasts_refresh(now=NOW)
    assert state_of(cast).state == State.FAILING


def test_what_is_too_old_is_asked_for_in_full(cast: Cast, serving: Serving) -> None:
    """A 304 would leave the site with nothing."""
    service = serving(good())
    forecasts_refresh(now=NOW)
    much_later = NOW + timedelta(days=2)
    forecasts_refresh(now=much_later)
    assert "If-Modified-Since" not in service.requests[-1].headers


def pauses_of(cast: Cast, reply: Reply, service: LoopbackService, times: int) -> list[float]:
    """Hours until the next try, failure after failure."""
    service.reply, now, found = (lambda request: reply), NOW, []
    for _ in range(times):
        forecasts_refresh(now=now)
        following = state_of(cast).next_try_at
        assert following is not None
        found.append((following - now) / HOUR)
        now = following
    return found


def test_failures_are_asked_again_after_growing_pauses(cast: Cast, serving: Serving) -> None:
    pauses = pauses_of(cast, Reply(500), serving(Reply(500)), 9)
    spread_h = 10 / 60
    for tries, pause in enumerate(pauses):
        least = min(6.0, 5 / 60 * 2**tries)
        assert least <= pause <= least + spread_h
    assert state_of(cast).tries == 9


def test_being_slowed_down_pauses_for_an_hour_and_longer(cast: Cast, serving: Serving) -> None:
    pauses = pauses_of(cast, Reply(429), serving(Reply(429)), 7)
    assert [int(pause) for pause in pauses] == [1, 2, 4, 8, 16, 24, 24]


@pytest.mark.parametrize("wish", ["28800", "Mon, 12 Apr 2027 16:20:00 GMT"])
@pytest.mark.parametrize("status", [429, 503])
def test_the_services_own_wish_for_a_pause_counts(
    cast: Cast, serving: Serving, status: int, wish: str
) -> None:
    """RFC 9110, 10.2.3: Retry-After is a number of seconds or a date; here eight hours either way."""
    pauses = pauses_of(cast, Reply(status, headers={"Retry-After": wish}), serving(good()), 1)
    assert 8 <= pauses[0] <= 8.2


def test_while_slowed_down_nobodys_wish_is_asked(cast: Cast, serving: Serving) -> None:
    service = serving(Reply(429))
    forecasts_refresh(now=NOW)
    row, was_asked = forecast_fetch(site=cast.site, now=NOW + timedelta(minutes=30))
    assert (was_asked, len(service.requests), row.state) == (False, 1, State.SLOWED)


@pytest.mark.parametrize("status", [403, 429])
def test_a_refusal_or_a_slowing_holds_for_every_site(cast: Cast, serving: Serving, status: int) -> None:
    for number in range(3):
        make_site(cast.society, name=f"Field {number}")
    service = serving(Reply(status))
    forecasts_refresh(now=NOW)
    forecasts_refresh(now=NOW + timedelta(minutes=50))
    assert len(service.requests) == 1


def test_a_refusal_stops_until_another_contact_is_set(cast: Cast, serving: Serving, settings: Any) -> None:
    make_site(cast.society, name="Field 1")
    service = serving(Reply(403))
    forecasts_refresh(now=NOW)
    forecasts_refresh(now=NOW + timedelta(days=40))
    assert len(service.requests) == 1
    settings.FORECAST_CONTACT = "https://alderlane.example"
    service.reply = lambda request: good()
    forecasts_refresh(now=NOW)
    assert [request.headers["User-Agent"].split()[1] for request in service.requests] == [
        CONTACT,
        "https://alderlane.example",
        "https://alderlane.example",
    ]
    assert set(ForecastState.objects.values_list("state", flat=True)) == {State.GOOD}


def test_a_refusal_can_be_tried_again_by_hand(cast: Cast, serving: Serving) -> None:
    service = serving(Reply(403))
    forecasts_refresh(now=NOW)
    service.reply = lambda request: good()
    row, was_asked = forecast_fetch(site=cast.site, now=NOW + timedelta(hours=1))
    assert (was_asked, row.state) == (True, State.GOOD)


def test_a_site_that_moved_is_asked_for_anew_and_in_full(cast: Cast, serving: Serving) -> None:
    service = serving(good())
    forecasts_refresh(now=NOW)
    cast.site.latitude = 53.5
    cast.site.save()
    forecasts_refresh(now=NOW + timedelta(minutes=1))
    assert "lat=53.5" in service.requests[1].path
    assert "If-Modified-Since" not in service.requests[1].headers


def test_nobody_there_is_written_down(cast: Cast, serving: Serving, settings: Any) -> None:
    serving(good())
    settings.FORECAST_URL = unused_address()
    forecasts_refresh(now=NOW)
    assert "connection failed" in state_of(cast).problem


def test_a_slow_service_holds_the_run_up_once_whatever_the_number_of_sites(
    cast: Cast, serving: Serving, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In the embedded mode letters wait behind this run."""
    for number in range(8):
        make_site(cast.society, name=f"Field {number}")
    monkeypatch.setattr(client, "READ_S", 0.3)
    service = serving(Reply(200, body(START), slow_s=30))
    begun = time.perf_counter()
    assert forecasts_refresh(now=NOW).asked == 1
    assert time.perf_counter() - begun < 2
    assert len(service.requests) == 1


def test_many_slow_answers_end_within_the_runs_time(
    cast: Cast, serving: Serving, monkeypatch: pytest.MonkeyPatch
) -> None:
    for number in range(20):
        make_site(cast.society, name=f"Field {number}")
    monkeypatch.setattr(forecast_services, "LONGEST_RUN_S", 1.0)
    monkeypatch.setattr(forecast_services, "LEAST_LEFT_S", 0.4)
    serving(Reply(200, body(START), {"Last-Modified": WORDS}, slow_s=0.2))
    begun = time.perf_counter()
    found = forecasts_refresh(now=NOW)
    assert time.perf_counter() - begun < 2
    assert 1 <= found.good < 21
    assert ForecastState.objects.filter(state=State.NEVER).count() == 21 - found.good


def test_two_runs_at_once_ask_once(cast: Cast, serving: Serving) -> None:
    """The second run finds the row moved on by the first, which is still asking."""
    service = serving(good())
    forecast_services._rows_make(NOW)
    row = state_of(cast)
    assert forecast_services._claim(row, NOW)
    assert not forecast_services._claim(row, NOW)
    forecasts_refresh(now=NOW)
    assert service.requests == []
    forecasts_refresh(now=NOW + forecast_services.CLAIM)
    assert len(service.requests) == 1


def test_a_southern_site_is_asked_and_summed_up_by_its_own_days(serving: Serving, db: None) -> None:
    site = make_site(make_society(zone="Australia/Hobart"), latitude=-42.88, longitude=147.33, height_m=40)
    service = serving(Reply(200, body(START, air_c=lambda at: -2.0 if at.hour == 20 else 6.0), {}))
    forecasts_refresh(now=NOW)
    assert service.requests[0].path.endswith("?altitude=40&lat=-42.88&lon=147.33")
    days = WeatherDay.objects.filter(site=site).order_by("day")
    # 08:20 UTC is 18:20 on the 12th in Hobart; 20:00 UTC is six in the morning there.
    assert days[0].day == date(2027, 4, 13)
    assert {day.tmin_c for day in days[:2]} == {-2.0}


def test_a_failed_write_leaves_the_old_forecast_whole(
    cast: Cast, serving: Serving, monkeypatch: pytest.MonkeyPatch
) -> None:
    serving(good())
    forecasts_refresh(now=NOW)
    before = held()
    monkeypatch.setattr("schedules.forecast_answers._weather_day", lambda site, day: 1 / 0)
    answer = client.Answer(200, body(START, air_c=lambda at: 1.0), "application/json")
    with pytest.raises(ZeroDivisionError):
        outcome_keep(state_of(cast), judge(answer, state_of(cast), now=NOW), now=NOW)
    assert held() == before


STATUSES = st.sampled_from([200, 203, 204, 304, 400, 401, 403, 404, 418, 422, 429, 500, 502, 503, 599])
HEADERS = st.sampled_from(["", "0", "soon", http_date(NOW), http_date(NOW + HOUR), "-5", "9" * 30])


@given(
    STATUSES, st.binary(max_size=40), HEADERS, HEADERS, st.sampled_from(["", "application/json", "text/x"])
)
@hypothesis_settings(max_examples=200, deadline=None)
def test_no_answer_whatever_raises_or_asks_again_at_once(
    status: int, content: bytes, expires: str, retry_after: str, kind: str
) -> None:
    row = ForecastState(state=State.GOOD, last_modified=WORDS)
    answer = client.Answer(status, content, kind, expires, WORDS, retry_after)
    outcome = judge(answer, row, now=NOW)
    assert (outcome.state == State.GOOD) == (status == 304)
    assert outcome.steps is None


def test_the_documents_of_these_tests_are_of_the_published_shape() -> None:
    """So that a slip in the maker of answers does not hide one in the reader: keys as in the excerpt."""
    step = document(START)["properties"]["timeseries"][0]
    assert set(step) == {"time", "data"}
    assert {"instant", "next_1_hours"} <= set(step["data"])
    assert step["time"].endswith("Z")
