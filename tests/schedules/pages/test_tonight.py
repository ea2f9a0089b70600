"""Tonight, as a grower reads it: on the week page, and on the page of a sowing that it concerns."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.urls import reverse

from plots.models import Site, Sowing
from schedules import tonight
from schedules.models import ForecastHour, ForecastState, Job, Outlook
from tests.factories import (
    Cast,
    make_bed,
    make_job,
    make_plot,
    make_reading,
    make_site,
    make_sowing,
    make_tenancy,
    make_weather_day,
)
from tests.schedules.pages.conftest import SINCE, TODAY
from tests.schedules.pages.test_week import WEEK_QUERIES

NOW = datetime(2027, 4, 12, 8, tzinfo=UTC)
HOUR = timedelta(hours=1)
CREDIT = "Based on data from"


@pytest.fixture(autouse=True)
def switched_on(settings: Any) -> None:
    settings.FORECAST_CONTACT = "growers@alderlane.example"


def forecast(
    site: Site,
    *,
    air_c: Callable[[datetime], float] = lambda at: 9.0,
    wind_ms: float = 1.0,
    rain_mm: float = 0.0,
    hours: int = 48,
    **state: Any,
) -> ForecastState:
    """A forecast from eight in the morning on, fetched an hour ago."""
    ForecastHour.objects.bulk_create(
        ForecastHour(site=site, at=at, air_c=air_c(at), wind_ms=wind_ms, rain_mm=rain_mm, humidity_pct=80)
        for at in (NOW + number * HOUR for number in range(hours))
    )
    fields = {
        "state": "good", "fetched_at": NOW - HOUR, "expires_at": NOW + HOUR, **state,
    }  # fmt: skip
    return ForecastState.objects.create(site=site, **fields)


def frosty(at: datetime) -> float:
    """Two below nought at five in the morning, British Summer Time."""
    return -2.0 if at.hour == 4 else 6.0


def standing(cast: Cast, crop: str = "french-bean", *, up_on: date | None = date(2027, 4, 1)) -> Sowing:
    row = make_sowing(cast.bed, crop, season=2027, state="sown", sown_on=date(2027, 3, 20))
    if up_on:
        Outlook.objects.create(
            sowing=row, shows_from=up_on, shows_best=up_on, shows_by=up_on, worked_out_at=NOW
        )
    return row


def week_of(client: Any) -> str:
    return client.get(reverse("this-week")).content.decode()


def page_of(client: Any, sowing: Sowing) -> str:
    return client.get(reverse("sowing", args=[sowing.pk])).content.decode()


def of_tonight(page: str) -> str:
    """The part of a page between the heading 'Tonight' and the end of its section."""
    assert "Tonight" in page
    return page.partition("Tonight")[2].partition("</section>")[0]


def test_switched_off_is_said_with_who_can_change_it(cast, as_account, settings):
    settings.FORECAST_CONTACT = ""
    forecast(cast.site, air_c=frosty)

    words = of_tonight(week_of(as_account(cast.ana_account)))

    assert "Frost, slugs and a good evening to thin are not known." in words
    assert "This server asks no forecast service" in words
    assert CREDIT not in words


def test_a_pretended_day_has_no_night(cast, as_account, settings):
    settings.PRETEND_TODAY = "2027-04-12"
    forecast(cast.site, air_c=frosty)

    assert "only pretended" in of_tonight(week_of(as_account(cast.ana_account)))


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (None, "has not been asked yet"),
        ({"state": "never", "fetched_at": None, "expires_at": None}, "has not been asked yet"),
        (
            {"state": "failing", "fetched_at": None, "expires_at": None, "problem": "it did not answer"},
            "No forecast could be had yet from the service: it did not answer.",
        ),
        (
            {
                "state": "failing", "fetched_at": NOW - 20 * HOUR, "expires_at": NOW - 19 * HOUR,
                "problem": "it answered with status 503",
            },
            "No forecast could be had from the service since yesterday, 13:00: it answered with status 503.",
        ),
        (
            {
                "state": "failing", "fetched_at": NOW - 200 * HOUR, "expires_at": NOW - 199 * HOUR,
                "problem": "it answered with status 503",
            },
            "No forecast could be had from the service since 4 April, 01:00:",
        ),
        ({"state": "stopped", "fetched_at": None, "expires_at": None, "problem": "x"}, "refuses this server"),
        ({"state": "not_covered", "fetched_at": None, "expires_at": None}, "no forecast for this place"),
    ],
)  # fmt: skip
def test_why_nothing_is_known_is_said(cast, as_account, state, words):
    if state is not None:
        forecast(cast.site, hours=0, **state)

    night = of_tonight(week_of(as_account(cast.ana_account)))

    assert "are not known." in night
    assert words in night


def test_a_forecast_that_is_too_old_is_not_gone_by(cast, as_account):
    forecast(cast.site, air_c=frosty, expires_at=NOW - 12 * HOUR, problem="it did not answer in time")

    assert "are not known." in of_tonight(week_of(as_account(cast.ana_account)))


def test_frost_is_a_number_a_word_and_a_credit(cast, as_account):
    forecast(cast.site, air_c=frosty)

    night = of_tonight(week_of(as_account(cast.ana_account)))

    assert "Down to -2\u00a0°C: slight frost." in night
    assert CREDIT in night
    assert "CC BY 4.0" in night
    assert "fetched today, 08:00" in night


def test_every_page_credits_the_forecast_that_its_dates_lean_on(cast, as_account, settings):
    client = as_account(cast.ana_account)
    ground = reverse("my-ground")
    assert "from a forecast based on data from" in client.get(ground).content.decode()

    settings.FORECAST_CONTACT = ""
    assert "from a forecast" not in client.get(ground).content.decode()


def test_frost_is_read_in_the_readers_units(cast, as_account):
    cast.ana.units = "imperial"
    cast.ana.save()
    forecast(cast.site, air_c=frosty)

    assert "28\u00a0°F" in of_tonight(week_of(as_account(cast.ana_account)))


def test_a_mild_night_has_no_frost_and_asks_for_no_cover(cast, as_account):
    standing(cast)
    forecast(cast.site)

    night = of_tonight(week_of(as_account(cast.ana_account)))

    assert "None expected" in night
    assert "<dt>Cover</dt>" not in night


def test_what_the_frost_would_kill_is_named_and_linked(cast, as_account):
    beans, parsnips = standing(cast), standing(cast, "parsnip")
    forecast(cast.site, air_c=lambda at: -0.5 if at.hour == 4 else 6.0)

    night = of_tonight(week_of(as_account(cast.ana_account)))

    assert "<dt>Cover</dt>" in night
    assert reverse("sowing", args=[beans.pk]) in night
    assert reverse("sowing", args=[parsnips.pk]) not in night


def test_what_is_not_up_yet_needs_no_cover(cast, as_account):
    beans = standing(cast, up_on=date(2027, 4, 20))
    forecast(cast.site, air_c=frosty)

    assert reverse("sowing", args=[beans.pk]) not in of_tonight(week_of(as_account(cast.ana_account)))


def test_what_is_covered_already_is_to_be_left_so(cast, as_account):
    beans = standing(cast)
    make_job(beans, "cover", start_on=date(2027, 4, 1), state="done", done_on=date(2027, 4, 2))
    forecast(cast.site, air_c=frosty)
    assert "under a cover already, keep it on" in of_tonight(week_of(as_account(cast.ana_account)))

    make_job(beans, "uncover", start_on=date(2027, 4, 5), state="done", done_on=date(2027, 4, 6))
    assert "under a cover already" not in of_tonight(week_of(as_account(cast.ana_account)))


def test_what_is_ready_may_be_gathered_instead(cast, as_account):
    make_job(standing(cast), "lift", start_on=TODAY)
    forecast(cast.site, air_c=frosty)

    assert "or pick it, if it is ready" in of_tonight(week_of(as_account(cast.ana_account)))


def test_nobody_reads_of_a_plot_that_is_not_theirs(cast, as_account):
    beans = standing(cast)
    forecast(cast.site, air_c=frosty)

    night = of_tonight(week_of(as_account(cast.col_account)))

    assert reverse("sowing", args=[beans.pk]) not in night


def carrots(cast: Cast, **job: Any) -> Sowing:
    row = standing(cast, "carrot-early")
    make_job(row, "thin", start_on=job.pop("start_on", TODAY), **job)
    return row


def test_a_still_evening_is_good_for_a_thinning_that_waits(cast, as_account):
    row = carrots(cast)
    forecast(cast.site, wind_ms=0.8)

    night = of_tonight(week_of(as_account(cast.ana_account)))

    assert "<dt>Thin</dt>" in night
    assert reverse("sowing", args=[row.pk]) in night


@pytest.mark.parametrize(
    "job", [{"start_on": TODAY + timedelta(days=2)}, {"state": "done", "done_on": TODAY}]
)
def test_without_an_open_window_nothing_is_said_of_thinning(cast, as_account, job):
    carrots(cast, **job)
    forecast(cast.site)

    assert "<dt>Thin</dt>" not in of_tonight(week_of(as_account(cast.ana_account)))


def test_a_windy_evening_is_rated_below_a_still_one(cast):
    carrots(cast)
    jobs = list(Job.objects.filter(kind="thin"))
    forecast(cast.site, wind_ms=0.8)
    rated = {}
    for wind_ms in (0.8, 9.0):
        ForecastHour.objects.update(wind_ms=wind_ms)
        [night] = tonight.tonight_on([cast.plot], jobs, now=NOW, units="metric")
        [rated[wind_ms]] = [line.rating for line in night.lines if line.word == "Thin"]
    assert (rated[0.8], rated[9.0]) == ("fair", "poor")


def test_a_still_evening_is_good_where_a_mesh_goes_back_on(cast):
    row = carrots(cast)
    Sowing.objects.filter(pk=row.pk).update(cover="mesh")
    forecast(cast.site, wind_ms=0.8)

    [night] = tonight.tonight_on([cast.plot], list(Job.objects.all()), now=NOW, units="metric")

    assert [line.rating for line in night.lines if line.word == "Thin"] == ["good"]


def test_every_answer_has_its_reason_and_its_source(cast):
    standing(cast)
    carrots(cast)
    forecast(cast.site, air_c=frosty, rain_mm=0.4)

    [night] = tonight.tonight_on([cast.plot], list(Job.objects.all()), now=NOW, units="metric")

    assert night.lines[0].word == "Frost"
    assert {line.word for line in night.lines} >= {"Frost", "Cover", "Thin", "Slugs"}
    assert all(line.text and line.whys and all(line.sources) for line in night.lines)
    assert all(why.endswith(".") for line in night.lines for why in line.whys)


def test_a_wet_mild_night_names_the_young_rows_that_slugs_may_find(cast, as_account):
    young = standing(cast, "lettuce", up_on=date(2027, 4, 5))
    old = standing(cast, "parsnip", up_on=date(2026, 6, 1))
    make_weather_day(cast.site, date(2027, 4, 11), rain_mm=8.0)
    forecast(cast.site, air_c=lambda at: 14.0, rain_mm=0.5)

    slugs = of_tonight(week_of(as_account(cast.ana_account))).partition("<dt>Slugs</dt>")[2]

    assert reverse("sowing", args=[young.pk]) in slugs
    assert reverse("sowing", args=[old.pk]) not in slugs


def slugs_of(cast: Cast, now: datetime = NOW) -> str:
    [night] = tonight.tonight_on([cast.plot], [], now=now, units="metric")
    [rating] = [line.rating for line in night.lines if line.word == "Slugs"]
    return str(rating)


def test_a_dry_night_without_word_of_yesterday_is_not_rated_for_slugs(cast):
    forecast(cast.site, air_c=lambda at: 14.0)
    assert slugs_of(cast) == "not_known"

    make_reading(cast.site, cast.ana, date(2027, 4, 11), quantity="rain_mm", value=6.0, depth_mm=None)
    assert slugs_of(cast) == "many"

    make_weather_day(cast.site, date(2027, 4, 11), rain_mm=0.0)
    assert slugs_of(cast) == "few"


def test_rain_of_the_day_that_ends_counts_before_that_of_yesterday(cast):
    """From six in the evening of the 11th to six of the 12th, British Summer Time, all hours are held."""
    make_weather_day(cast.site, date(2027, 4, 11), rain_mm=0.0)
    forecast(cast.site, air_c=lambda at: 14.0)
    ForecastHour.objects.bulk_create(
        ForecastHour(site=cast.site, at=NOW - number * HOUR, air_c=14.0, wind_ms=1.0, rain_mm=0.4)
        for number in range(1, 16)
    )
    assert slugs_of(cast) == "many"


def test_hours_that_end_before_the_night_leave_it_not_known(cast):
    forecast(cast.site, hours=6)

    [night] = tonight.tonight_on([cast.plot], [], now=NOW, units="metric")

    assert {line.rating for line in night.lines} == {"not_known"}
    assert all("ot known" in line.text for line in night.lines)


def test_two_sites_have_a_night_each(cast, as_account):
    south = make_site(cast.society, name="Far Field")
    make_tenancy(make_plot(south, "1", laid_out_on=SINCE), cast.ana, since=SINCE)
    forecast(cast.site, air_c=frosty)
    forecast(south, hours=0, state="not_covered", fetched_at=None, expires_at=None)

    page = week_of(as_account(cast.ana_account))

    assert "Tonight at Alder Lane" in page
    assert "Tonight at Far Field" in page


def test_what_is_to_be_done_before_dark_stands_before_the_week(cast, as_account):
    make_job(carrots(cast), "weed", start_on=TODAY)
    forecast(cast.site, air_c=frosty)
    client = as_account(cast.ana_account)
    page = week_of(client)
    assert page.index("Tonight") < page.index("The seven days") < page.index("Weed carrot")

    ForecastHour.objects.update(air_c=9.0)
    page = week_of(client)
    assert page.index("Weed carrot") < page.index("Tonight")


def test_who_works_no_plot_has_no_night(cast, as_account):
    forecast(cast.site, air_c=frosty)

    assert "Tonight" not in week_of(as_account(cast.dee_account))


def test_after_midnight_tonight_is_the_night_that_has_begun(cast):
    """At one in the morning of the 13th the frost at five lies ahead; the evening is that of the 12th."""
    forecast(cast.site, air_c=lambda at: -2.0 if at == NOW + 20 * HOUR else 6.0)
    at_one = NOW + 16 * HOUR
    ForecastState.objects.update(expires_at=at_one)

    [night] = tonight.tonight_on([cast.plot], [], now=at_one, units="metric")

    assert night.lines[0].rating == "frost"


def test_a_southern_site_has_its_own_evening(cast):
    """08:00 UTC is six in the evening in Hobart; its coldest hour comes at 20:00 UTC."""
    Site.objects.update(zone="Australia/Hobart", latitude=-42.9, longitude=147.3)
    cast.plot.site.refresh_from_db()
    forecast(cast.site, air_c=lambda at: -2.0 if at == NOW + 12 * HOUR else 6.0)

    [night] = tonight.tonight_on([cast.plot], [], now=NOW, units="metric")

    assert tonight.evening_of_now(cast.plot.site, NOW) == date(2027, 4, 12)
    assert night.lines[0].rating == "frost"


@pytest.mark.parametrize(
    ("begins", "ends"),
    # In the night to 28 March the clock goes forward, in that to 31 October back (tz database).
    [(datetime(2027, 3, 27, 8, tzinfo=UTC), 8), (datetime(2027, 10, 30, 8, tzinfo=UTC), 9)],
)
def test_the_night_of_a_clock_change_is_whole(cast, begins, ends):
    """The last hour before nine by the clock decides."""
    last = (begins + timedelta(days=1)).replace(hour=ends - 1)
    ForecastHour.objects.bulk_create(
        ForecastHour(site=cast.site, at=at, air_c=-1.0 if at == last else 5.0, wind_ms=1.0, rain_mm=0.0)
        for at in (begins + number * HOUR for number in range(30))
    )
    ForecastState.objects.create(site=cast.site, state="good", fetched_at=begins, expires_at=begins + HOUR)

    with time_machine.travel(begins, tick=False):
        [night] = tonight.tonight_on([cast.plot], [], now=begins, units="metric")

    assert night.lines[0].rating == "frost"


def test_a_warning_of_the_service_is_passed_on(cast, as_account):
    forecast(cast.site, problem="the service answers, and says that this version of it is on its way out")

    assert "this version of it is on its way out." in of_tonight(week_of(as_account(cast.ana_account)))


def test_the_page_of_a_sowing_says_what_concerns_it_and_nothing_else(cast, as_account):
    beans, parsnips, thinned = standing(cast), standing(cast, "parsnip"), carrots(cast)
    forecast(cast.site, air_c=lambda at: -0.5 if at.hour == 4 else 6.0)
    client = as_account(cast.ana_account)

    assert "Cover it before dark: the night may harm it." in of_tonight(page_of(client, beans))
    assert "<dt>Slugs</dt>" not in page_of(client, parsnips)
    assert "<dt>Cover</dt>" not in page_of(client, parsnips)
    assert "<dt>Thin</dt>" in of_tonight(page_of(client, thinned))


def test_the_page_of_a_sowing_says_that_the_evening_is_not_known_only_where_it_matters(
    cast, as_account, settings
):
    settings.FORECAST_CONTACT = ""
    client = as_account(cast.ana_account)

    assert "not known" in of_tonight(page_of(client, carrots(cast)))
    assert "Tonight" not in page_of(client, standing(cast, "parsnip"))


# beyond the week's own: states, hours, sowings in the ground, yesterday's rain as read and as filed
NIGHT_QUERIES = 5


def test_the_night_costs_the_same_with_one_row_and_with_fifty(cast, as_account, django_assert_num_queries):
    client = as_account(cast.ana_account)
    make_job(standing(cast), "thin", start_on=TODAY)
    forecast(cast.site, air_c=frosty)
    with django_assert_num_queries(WEEK_QUERIES + NIGHT_QUERIES):
        week_of(client)

    for number in range(49):
        site = make_site(cast.society, name=f"Field {number}") if number % 10 == 0 else cast.site
        plot = make_plot(site, f"A{number}", laid_out_on=SINCE)
        make_tenancy(plot, cast.ana, since=SINCE)
        row = make_sowing(
            make_bed(plot, since=SINCE), "french-bean", season=2027, state="sown", sown_on=date(2027, 3, 20)
        )
        make_job(row, "thin", start_on=TODAY)
        if site != cast.site:
            forecast(site, air_c=frosty)
    with django_assert_num_queries(WEEK_QUERIES + NIGHT_QUERIES):
        assert week_of(client).count("<dt>Frost</dt>") == 6
