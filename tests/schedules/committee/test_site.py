"""The site in the committee's book: entered, corrected, and its weather read in from a file."""

from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from plots.models import Site
from schedules.committee_forms import site as site_forms
from schedules.models import Job, NormalMonth, WeatherDay
from schedules.plan_services import site_replan
from tests.factories import instant, make_sowing
from tests.schedules.committee.conftest import TODAY, said

SITE = {
    "name": "Alder Lane", "latitude": "52", "longitude": "-1", "height_m": "0", "zone": "Europe/London",
    "soil": "loam", "insects": ["carrot-fly"], "frost_words": "uk", "season_month": "1", "season_day": "1",
    "version": "1",
}  # fmt: skip
DAYS = "date,tmin_c,tmax_c\n2027-04-01,3,11\n2027-04-02,4,12\n"


def faults(answer, field):
    assert answer.status_code == 422
    return " ".join(answer.context["form"].errors[field])


def a_file(text=DAYS):
    data = text if isinstance(text, bytes) else text.encode()
    return SimpleUploadedFile("record.csv", data, content_type="text/csv")


def test_the_page_says_what_the_book_has(cast, look):
    page = look("committee-site")

    assert "The site Alder Lane" in page
    assert "Insects known in the region" in page
    assert 'value="Europe/London"' in page


def test_a_site_is_corrected(cast, send):
    answer = send("committee-site", **{**SITE, "height_m": "30", "soil": "sand", "frost_words": "us"})

    site = Site.objects.get()
    assert said(answer) == ["Corrected. The dates are worked out again."]
    assert (site.height_m, site.soil, site.insects, site.frost_words, site.version) == (
        30, "sand", ["carrot-fly"], "us", 2,
    )  # fmt: skip


def asked_for(sowing):
    return set(Job.objects.filter(sowing=sowing, is_asked=True).values_list("kind", flat=True))


def test_plans_follow_what_is_said_of_the_site(cast, send):
    """Where there is no carrot fly nobody is asked to cover carrots against it."""
    sowing = make_sowing(cast.bed, season=2027)
    site_replan(site=cast.site, now=instant(TODAY))
    before = asked_for(sowing)

    send("committee-site", **{**SITE, "insects": ["onion-fly"]})

    assert "cover" in before
    assert "cover" not in asked_for(sowing)


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"name": ""}, "name", "Enter the site’s name."),
        ({"latitude": "95"}, "latitude", "Give degrees from −90 to 90"),
        ({"longitude": "west"}, "longitude", "Give degrees from −180 to 180"),
        ({"height_m": "9000"}, "height_m", "Give the height in metres"),
        ({"zone": "Europe/Nowhere"}, "zone", "Write one like Europe/London"),
        ({"soil": "peat"}, "soil", "Choose one of the lines that are offered."),
        ({"insects": ["moth"]}, "insects", "Choose one of the lines that are offered."),
        ({"season_day": "30"}, "season_day", "A day from 1 to 28"),
        ({"version": ""}, "version", "Load it again"),
    ],
)
def test_what_is_wrong_is_said_at_its_field(cast, send, fields, field, words):
    assert words in faults(send("committee-site", **{**SITE, **fields}), field)
    assert Site.objects.get().version == 1


def test_a_stale_save_says_what_changed_and_keeps_nothing(cast, send):
    send("committee-site", **{**SITE, "insects": ["onion-fly"]})

    answer = send("committee-site", **{**SITE, "soil": "clay"})

    assert answer.status_code == 409
    assert "Insects known in the region: now onion fly" in answer.content.decode()
    assert Site.objects.get().soil == "loam"


def test_the_growing_year_stays_once_something_is_planned(cast, send, look):
    make_sowing(cast.bed, season=2027)

    assert "It stays: the seasons on record are counted from it." in look("committee-site")
    send("committee-site", **{**SITE, "season_month": "4"})

    assert Site.objects.get().season_month == 1


def test_a_site_is_entered(cast, send):
    new = {
        **SITE,
        "name": "Far Field",
        "latitude": "-37.8",
        "season_month": "",
        "zone": "Australia/Melbourne",
    }

    answer = send("committee-site-add", **new)

    site = Site.objects.get(name="Far Field")
    assert said(answer) == ["Far Field is entered. Read its weather in next."]
    assert (site.season_month, site.insects, site.slug) == (7, ["carrot-fly"], "far-field")


def test_a_file_is_looked_at_before_it_is_kept(cast, send):
    answer = send("committee-weather-file", file=a_file())

    assert "All of the file can be kept" in answer.content.decode()
    assert "2 days are new, 0 correct what is in the book" in answer.content.decode()
    assert not WeatherDay.objects.exists()

    kept = send("committee-weather-file", text=answer.context["preview"].text, keep="yes")

    assert said(kept) == ["Kept: 2 days new, 0 corrected, 0 as they were. The dates are worked out again."]
    assert list(WeatherDay.objects.values_list("day", "tmin_c", "tmax_c")) == [
        (date(2027, 4, 1), 3.0, 11.0), (date(2027, 4, 2), 4.0, 12.0),
    ]  # fmt: skip


def test_a_bad_row_keeps_everything_out(cast, send):
    answer = send("committee-weather-file", text=DAYS + "2027-04-03,13,5\n", keep="yes")

    page = answer.content.decode()
    assert answer.status_code == 422
    assert "1 row cannot be read, so nothing can be kept yet" in page
    assert "Line </span>4" in page
    assert not WeatherDay.objects.exists()


def test_monthly_means_come_in_the_same_way(cast, send):
    NormalMonth.objects.all().delete()
    rows = "".join(f"{month},{month / 2},{month + 8}\n" for month in range(1, 13))

    answer = send("committee-weather-file", text=f"month,tmin_c,tmax_c\n{rows}", keep="yes")

    assert "Kept: 12 monthly means new" in said(answer)[0]
    assert NormalMonth.objects.count() == 12


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({}, "Choose the file first."),
        ({"file": a_file(b"\x00\x01")}, "This is not plain text"),
    ],
)
def test_what_is_no_file_is_said(cast, send, sent, words):
    assert words in faults(send("committee-weather-file", **sent), "file")


def test_too_large_a_file_is_refused(cast, send, monkeypatch):
    monkeypatch.setattr(site_forms, "LARGEST_BYTES", 20)

    assert "larger than 2 MB" in faults(send("committee-weather-file", file=a_file()), "file")


def test_what_is_set_aside_stands_on_the_weather_page(cast, send, look):
    send("committee-weather-file", text="date,tmin_c,tmax_c\n2027-04-01,3,81\n", keep="yes")

    page = look("weather")
    assert "1 April 2027, highest 81 °C: over what is possible." in page


@pytest.mark.parametrize("name", ["committee-site", "committee-site-add", "committee-weather-file"])
def test_the_pages_cost_the_same_with_a_long_record(cast, dee, name, django_assert_max_num_queries):
    WeatherDay.objects.bulk_create(
        WeatherDay(site=cast.site, day=date(2026, 1, 1 + n), tmin_c=1, tmax_c=9) for n in range(31)
    )
    with django_assert_max_num_queries(8):  # session, account; society, members, seat; sites, sowings, frame
        dee.get(reverse(name))
