"""The weather page: what a member reads and types in, what is refused and why, what a day counts."""

from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.management import call_command
from django.urls import reverse

from plots.models import Site
from schedules.models import Job, Reading, SetAside, WeatherDay
from schedules.plan_services import site_replan
from schedules.weather_selectors import observed_weather
from society.models import JournalEntry, Member
from tests.factories import instant, make_account, make_member, make_sowing, make_weather_day
from tests.schedules.pages.conftest import SINCE, TODAY

URL = "/weather/"
READ = {"day": "2027-04-11", "tmin_c": "2.5", "tmax_c": "13", "depth_mm": "10"}


@pytest.fixture
def ana(cast, as_account):
    return as_account(cast.ana_account)


def page_of(client, **query):
    answer = client.get(URL, query)
    assert answer.status_code == 200
    return answer.content.decode()


def faults(answer, field):
    assert answer.status_code == 422
    assert not Reading.objects.exists()
    return " ".join(answer.context["form"].errors[field])


def test_what_is_typed_in_is_kept_and_shown(cast, ana):
    answer = ana.post(URL, {**READ, "rain_mm": "4,2", "soil_c": "8.4", "hour": "9"}, follow=True)

    page = answer.content.decode()
    assert "4 readings are kept" in page
    assert set(Reading.objects.values_list("quantity", "value", "depth_mm", "hour", "member")) == {
        ("tmin_c", 2.5, None, None, cast.ana.pk),
        ("tmax_c", 13.0, None, None, cast.ana.pk),
        ("rain_mm", 4.2, None, None, cast.ana.pk),
        ("soil_c", 8.4, 100, 9, cast.ana.pk),
    }
    assert "soil 8.4 °C at 10 cm" in page
    assert "By hand: a member read it and typed it in." in page


def test_the_record_takes_what_was_read(cast, ana):
    ana.post(URL, READ)

    days = observed_weather(cast.site)
    assert (days.first, days.tmin_c.tolist(), days.tmax_c.tolist()) == (date(2027, 4, 11), [2.5], [13.0])


def test_a_file_of_that_day_wins_and_the_page_says_so(cast, ana):
    make_weather_day(cast.site, date(2027, 4, 11), tmin_c=4.0, tmax_c=None, rain_mm=None)

    ana.post(URL, READ)

    days = observed_weather(cast.site)
    assert (days.tmin_c.tolist(), days.tmax_c.tolist()) == ([4.0], [13.0])
    assert "because the weather file has that day" in page_of(ana)


def test_of_two_readings_the_later_counts(cast, ana, as_account):
    ana.post(URL, READ)
    as_account(cast.col_account).post(URL, {**READ, "tmin_c": "3"})

    assert observed_weather(cast.site).tmin_c.tolist() == [3.0]
    assert "because a later reading stands" in page_of(ana)


def test_who_reads_fahrenheit_writes_fahrenheit(cast, ana):
    Member.objects.filter(pk=cast.ana.pk).update(units="imperial")

    page = page_of(ana)
    ana.post(URL, {**READ, "tmin_c": "41", "tmax_c": "59", "rain_mm": "0.5", "soil_c": "50", "depth_mm": "4"})

    assert "Lowest of the day, °F" in page
    assert dict(Reading.objects.values_list("quantity", "value")) == {
        "tmin_c": 5.0, "tmax_c": 15.0, "rain_mm": 12.7, "soil_c": 10.0,
    }  # fmt: skip
    assert Reading.objects.get(quantity="soil_c").depth_mm == 102


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"day": "2027-04-13"}, "day", "has not come yet at Alder Lane; give today or a day before"),
        ({"day": "2026-04-01"}, "day", "more than a year ago; what is older comes in as a weather file"),
        ({"day": "soon"}, "day", "Write year, month and day"),
        ({"tmin_c": "", "tmax_c": ""}, "tmin_c", "Nothing was read yet; fill in at least one"),
        ({"tmin_c": "14"}, "tmin_c", "above the highest of the day; look whether the two are swapped"),
        ({"tmin_c": "cold"}, "tmin_c", "“cold” is no figure; write one like 4.5"),
        ({"tmax_c": "nan"}, "tmax_c", "is no figure"),
        ({"tmax_c": "130"}, "tmax_c", "lies outside −60 °C to 60 °C; look for a slip of the pen"),
        ({"rain_mm": "-1"}, "rain_mm", "lies outside 0 mm to 2000 mm"),
        ({"soil_c": "8", "depth_mm": ""}, "depth_mm", "Say how deep the thermometer stood"),
        ({"soil_c": "8", "depth_mm": "500"}, "depth_mm", "Between 1 and 100 cm"),
        ({"soil_c": "80"}, "soil_c", "lies outside −30 °C to 50 °C"),
        ({"hour": "25"}, "hour", "Choose one of the hours"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field_with_the_remedy(ana, fields, field, words):
    assert words in faults(ana.post(URL, {**READ, **fields}), field)


def test_a_lowest_above_what_the_day_counts_is_refused(cast, ana):
    make_weather_day(cast.site, date(2027, 4, 11), tmin_c=None, tmax_c=2.0)

    said = faults(ana.post(URL, {**READ, "tmax_c": ""}), "tmin_c")

    assert "above the highest that this day counts so far, 2 °C; check both" in said


def test_what_is_far_from_the_season_is_asked_about_once(cast, ana):
    """The cast's normals have April days of 13 °C on average, a little less on the 11th."""
    asked = ana.post(URL, {**READ, "tmax_c": "31"})
    assert "31 °C lies far from the 12.5 °C usual then" in faults(asked, "tmax_c")
    assert "I have looked again; it is so" in asked.content.decode()

    ana.post(URL, {**READ, "tmax_c": "31", "sure": "on"})

    assert Reading.objects.get(quantity="tmax_c").value == 31


def test_the_same_said_twice_is_kept_once(ana):
    for _ in range(2):
        ana.post(URL, READ)

    assert Reading.objects.count() == 2


def test_plans_are_worked_out_again(cast, ana):
    """A month read far below the usual leaves the ground too cold to sow yet."""
    sowing = make_sowing(cast.bed, season=2027, not_before=date(2027, 3, 1))
    site_replan(site=cast.site, now=instant(TODAY))
    before = Job.objects.get(sowing=sowing, kind="sow").best_on

    for back in range(1, 31):
        ana.post(URL, {"day": (TODAY - timedelta(days=back)).isoformat(), "tmin_c": "-3", "tmax_c": "3"})

    assert Job.objects.get(sowing=sowing, kind="sow").best_on > before


def test_ones_own_reading_is_withdrawn_and_counts_no_more(cast, ana):
    ana.post(URL, READ)
    reading = Reading.objects.get(quantity="tmin_c")

    answer = ana.post(reverse("reading-withdraw", args=[reading.pk]), follow=True)

    assert "Withdrawn" in answer.content.decode()
    assert observed_weather(cast.site).tmin_c.tolist() != [2.5]
    assert Reading.objects.get(pk=reading.pk).withdrawn_at is not None


def test_another_members_reading_is_not_there_but_for_the_committee(cast, ana, as_account):
    ana.post(URL, READ)
    url = reverse("reading-withdraw", args=[Reading.objects.get(quantity="tmin_c").pk])

    assert as_account(cast.col_account).post(url).status_code == 404
    assert as_account(cast.dee_account).post(url).status_code == 302
    assert "Ana Orchard" not in page_of(as_account(cast.col_account))
    assert "read by Ana Orchard" in page_of(as_account(cast.dee_account))


def test_the_journal_notes_it_without_names(cast, ana):
    ana.post(URL, {**READ, "tmax_c": ""})
    ana.post(reverse("reading-withdraw", args=[Reading.objects.get().pk]))

    taken, withdrawn = JournalEntry.objects.filter(subject="schedules.reading").order_by("pk")
    assert (taken.action, withdrawn.action) == ("reading.taken", "reading.withdrawn")
    assert taken.values == {
        "site": cast.site.pk, "member": cast.ana.pk, "on": "2027-04-11", "quantity": "tmin_c",
    }  # fmt: skip


def test_who_works_nothing_here_reads_and_does_not_type(cast, as_account):
    waiting = make_account(make_member(cast.society, "Wim Waits", joined_on=SINCE), since=SINCE)

    assert "Type in what you read" not in page_of(as_account(waiting))
    assert as_account(waiting).post(URL, READ).status_code == 404


def test_gaps_are_shown_as_gaps(cast, ana):
    make_weather_day(cast.site, date(2027, 4, 11), rain_mm=None)

    page = page_of(ana)

    assert "no reading" in page
    assert "Both temperatures are known of 1 day" in page


def test_the_page_takes_no_more_queries_for_more_readings(cast, ana, django_assert_max_num_queries):
    make_weather_day(cast.site, date(2027, 4, 11))
    ana.post(URL, {**READ, "soil_c": "8"})
    with django_assert_max_num_queries(QUERIES):
        ana.get(URL)
    for back in range(2, 40):
        make_weather_day(cast.site, TODAY - timedelta(days=back))
        Reading.objects.create(
            site=cast.site, member=cast.ana, day=TODAY - timedelta(days=back), quantity="soil_c", value=8,
            depth_mm=100, made_at=instant(TODAY),
        )  # fmt: skip
    with django_assert_max_num_queries(QUERIES):
        ana.get(URL)


# session, account; society, members, seat; sites, sites worked; the record (days, readings), normals,
# soil readings; the fortnight (days, readings); one's own readings, the days of these (days, readings);
# society again in the frame
QUERIES = 18


def test_only_insects_known_in_the_region_are_expected(cast, ana):
    Site.objects.update(insects=["onion-fly"])

    page = page_of(ana)

    assert "Onion fly" in page
    assert "University of Wisconsin" in page
    assert "Carrot fly" not in page


def test_frost_is_told_year_by_year_and_with_odds_from_eight_years(cast, ana):
    """Frost on 1 January to 10 April of each year: the last of spring is 10 April, and autumn has none."""
    first = date(2018, 1, 1)
    days = (first + timedelta(days=n) for n in range((TODAY - first).days))
    WeatherDay.objects.bulk_create(
        WeatherDay(site=cast.site, day=day, tmin_c=-2 if (day.month, day.day) <= (4, 10) else 5, tmax_c=9)
        for day in days
    )

    page = page_of(ana)
    assert "The last frost of spring came about 10 April in the middle year" in page
    assert "(9 years on record)" in page
    assert "The first frost of autumn: none in 9 years on record." in page

    WeatherDay.objects.filter(day__lt=date(2025, 1, 1)).delete()

    assert "The last frost of spring came on 10 April (2 years on record). That is too few for odds." in (
        page_of(ana)
    )


def test_what_a_file_brought_and_nobody_believed_is_shown_with_why(cast, ana, tmp_path):
    table = tmp_path / "record.csv"
    table.write_text("date,tmin_c,tmax_c,rain_mm\n2027-04-09,3,11,0\n2027-04-10,3,71,0\n2027-04-11,3,12,0\n")
    call_command("weather_import", str(table), site=cast.site.slug, stdout=StringIO())

    [row] = SetAside.objects.all()
    page = page_of(ana)

    assert (row.day, row.quantity, row.value) == (date(2027, 4, 10), "tmax_c", 71)
    assert "Set aside" in page
    assert "10 April 2027, highest 71 °C: " in page
    assert "not believed." not in page


def test_days_before_today_without_rain_are_told(cast, ana):
    for back in range(1, 31):
        rain_mm = None if back in {3, 9} else 0
        make_weather_day(cast.site, TODAY - timedelta(days=back), tmin_c=3, tmax_c=11, rain_mm=rain_mm)

    page = page_of(ana)

    assert "Of the 30 days before today, 2 have no rain on record, the latest 9 April 2027." in page
    WeatherDay.objects.filter(rain_mm__isnull=True).update(rain_mm=0)
    assert "no rain on record" not in page_of(ana)


def test_all_four_insects_are_listed_where_all_are_known(cast, ana):
    page = page_of(ana)

    assert all(each in page for each in ("Carrot fly", "Cabbage root fly", "Onion fly", "Bean seed fly"))


def test_frosts_that_came_on_one_day_every_year_are_told_once(cast, ana):
    for year in range(2017, 2027):
        for day in range((date(year, 7, 1) - date(year, 1, 1)).days):
            on = date(year, 1, 1) + timedelta(days=day)
            make_weather_day(cast.site, on, tmin_c=-2 if on <= date(year, 2, 27) else 3, tmax_c=11)

    page = page_of(ana)

    assert "The last frost of spring came about 27 February in most years (10 years on record)." in page
