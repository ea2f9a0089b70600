"""What the weekly letter adds to its jobs: what moved and why, seed and sand, how the sites stand."""

from datetime import date, timedelta
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from plots.models import Plot, Sowing
from schedules.letter_stopping import stop_link
from schedules.models import Delivery, Job, SiteDay
from schedules.site_day_words import site_day_words
from schedules.site_days import site_days_keep, site_values
from schedules.weekly_letters import To, gather, weekly_letter, written
from society.models import Member
from tests import factories

pytestmark = pytest.mark.django_db

SINCE = date(2020, 1, 1)
TODAY = date(2027, 4, 12)
LAST = TODAY - timedelta(days=7)
DAY = timedelta(days=1)


@pytest.fixture
def cast() -> factories.Cast:
    return factories.make_cast(since=SINCE)


def letter(cast: factories.Cast, *, today: date = TODAY) -> str:
    """The text of Ana's letter, on one line."""
    return " ".join(weekly_letter(member=cast.ana, reader=cast.ana, today=today).text.split())


def make_job(cast: factories.Cast, kind: str = "necks", *, start_on: date = TODAY, **fields: Any) -> Job:
    return factories.make_job(factories.make_sowing(cast.bed, season=2027), kind, start_on=start_on, **fields)


def told(cast: factories.Cast, *jobs: Job) -> Delivery:
    """Last week's letter, which told of these jobs as they are now."""
    matter = gather([To(cast.ana, cast.ana)], today=LAST)[0]
    known = written(matter).told["jobs"]
    assert set(known) == {job.key for job in jobs}
    return factories.make_delivery(cast.ana, local_date=LAST, state="sent", told={"jobs": known})


def move(job: Job, days: int, **fields: Any) -> None:
    window = {name: getattr(job, name) + days * DAY for name in ("start_on", "best_on", "by_on")}
    Job.objects.filter(pk=job.pk).update(**window, **fields)


# What moved


def test_the_first_letter_has_nothing_to_compare(cast: factories.Cast) -> None:
    make_job(cast)
    assert "moved since" not in letter(cast)


def test_what_stayed_is_no_news(cast: factories.Cast) -> None:
    told(cast, make_job(cast, start_on=LAST + 4 * DAY))
    assert "moved since" not in letter(cast)


def test_a_day_more_or_less_is_no_news(cast: factories.Cast) -> None:
    job = make_job(cast, start_on=LAST + 6 * DAY)
    told(cast, job)
    move(job, 1)
    assert "moved since" not in letter(cast)


def test_what_moved_is_told_with_what_the_last_letter_said(cast: factories.Cast) -> None:
    job = make_job(cast, start_on=LAST + 6 * DAY)
    told(cast, job)
    move(job, 3)
    text = letter(cast)
    assert "What moved since the letter of Monday 5 April" in text
    assert "Number 1 above" in text
    assert "Now 14 to 17 April; the last letter said 11 to 14 April." in text
    assert "worked out again from the weather since" in text


def test_what_moved_out_of_the_week_is_still_told(cast: factories.Cast) -> None:
    job = make_job(cast, start_on=LAST + 6 * DAY)
    told(cast, job)
    move(job, 20)
    text = letter(cast)
    assert "Nothing is due on plot 7" in text
    assert "Plot 7, bed 1 Now 1 to 4 May; the last letter said 11 to 14 April." in text


def test_what_somebody_put_off_says_so(cast: factories.Cast) -> None:
    job = make_job(cast, start_on=LAST + 6 * DAY)
    told(cast, job)
    move(job, 9, put_off_until=date(2027, 4, 20))
    assert "It was put off until 20 April." in letter(cast)


def test_what_was_sown_since_counts_from_that_day(cast: factories.Cast) -> None:
    job = make_job(cast, start_on=LAST + 6 * DAY)
    told(cast, job)
    move(job, 3)
    Sowing.objects.update(state="sown", sown_on=date(2027, 4, 9))
    assert "It counts from 9 April, when the sowing was recorded." in letter(cast)


def test_what_follows_another_job_says_which(cast: factories.Cast) -> None:
    sowing = factories.make_sowing(cast.bed, season=2027, state="sown", sown_on=date(2027, 2, 1))
    before = factories.make_job(sowing, "weed", start_on=LAST)
    after = factories.make_job(sowing, "necks", start_on=LAST + 6 * DAY)
    told(cast, before, after)
    Job.objects.filter(pk=before.pk).update(state="done", done_on=date(2027, 4, 10))
    move(after, 3)
    assert "It follows what was done on 10 April: weed carrot (early)." in letter(cast)


def test_what_the_plan_no_longer_asks_for_is_told(cast: factories.Cast) -> None:
    job = make_job(cast, start_on=LAST + 6 * DAY)
    told(cast, job)
    Job.objects.filter(pk=job.pk).update(is_asked=False)
    text = letter(cast)
    assert "Check the necks of carrot (early) Plot 7, bed 1 No longer asked for." in text


def test_what_is_done_is_no_news(cast: factories.Cast) -> None:
    job = make_job(cast, start_on=LAST + 6 * DAY)
    told(cast, job)
    move(job, 20, state="done", done_on=TODAY)
    assert "moved since" not in letter(cast)


def test_what_was_told_in_an_older_form_is_passed_over(cast: factories.Cast) -> None:
    job = make_job(cast)
    factories.make_delivery(cast.ana, local_date=LAST, state="sent", told={"jobs": {job.key: ["soon"]}})
    assert "moved since" not in letter(cast)


def test_a_letter_that_never_went_out_told_nothing(cast: factories.Cast) -> None:
    job = make_job(cast, start_on=LAST + 6 * DAY)
    told(cast, job)
    Delivery.objects.update(state="missed")
    move(job, 3)
    assert "moved since" not in letter(cast)


# What differs in nothing but the bed


def test_the_same_work_in_several_beds_is_one_job(cast: factories.Cast) -> None:
    for name in ("bed C", "bed D"):
        bed = factories.make_bed(cast.plot, name, since=SINCE)
        factories.make_job(factories.make_sowing(bed, season=2027), "necks", start_on=TODAY)
    written = weekly_letter(member=cast.ana, reader=cast.ana, today=TODAY)
    assert written.title.startswith("One job on plot 7,")
    assert "Plot 7, beds C and D" in written.text
    assert len(written.told["jobs"]) == 2


def test_the_same_work_on_two_plots_is_two_jobs(cast: factories.Cast) -> None:
    factories.make_co_worker(cast.other_plot, cast.ana, since=SINCE)
    make_job(cast)
    factories.make_job(factories.make_sowing(cast.other_bed, season=2027), "necks", start_on=TODAY)
    assert "Two jobs on plots 7 and 8" in letter(cast)


# What to have at hand


def test_a_sowing_says_how_much_seed_and_sand(cast: factories.Cast) -> None:
    make_job(cast, "sow")
    text = letter(cast)
    assert "seeds at hand" in text
    assert "dry sand" in text


def test_a_weeding_asks_for_no_seed(cast: factories.Cast) -> None:
    make_job(cast, "weed")
    assert "seeds at hand" not in letter(cast)


# How the sites stand


def test_a_site_without_weather_says_so(cast: factories.Cast) -> None:
    cast.site.normals.all().delete()
    make_job(cast)
    assert "Nothing is known of the weather there yet" in letter(cast)


def test_soil_and_frost_are_told_from_monthly_means(cast: factories.Cast) -> None:
    text = letter(cast)
    assert "How Alder Lane stands" in text
    assert "The soil at sowing depth is at about" in text
    assert "The odds of a frost in the coming week, reckoned from monthly means:" in text


def test_the_last_rain_is_told_with_its_day(cast: factories.Cast) -> None:
    for back in range(1, 30):
        factories.make_weather_day(cast.site, TODAY - back * DAY, rain_mm=6.0 if back == 4 else 0.2)
    assert "The last rain worth a gauge fell on Thursday: 6 mm." in letter(cast)


def test_a_dry_spell_counts_its_days(cast: factories.Cast) -> None:
    for back in range(1, 15):
        factories.make_weather_day(cast.site, TODAY - back * DAY, rain_mm=0.0)
    assert "No rain worth a gauge fell in the last 14 days on record." in letter(cast)


def test_a_gap_ends_the_dry_spell_that_is_known(cast: factories.Cast) -> None:
    for back in range(1, 15):
        factories.make_weather_day(cast.site, TODAY - back * DAY, rain_mm=None if back == 6 else 0.0)
    assert "in the last 5 days on record" in letter(cast)


def test_an_old_record_says_where_it_ends(cast: factories.Cast) -> None:
    factories.make_weather_day(cast.site, date(2027, 4, 2), rain_mm=3.0)
    text = letter(cast)
    assert "fell on 2 April: 3 mm. The record of rain ends on 2 April." in text


@pytest.mark.parametrize(
    ("values", "words"),
    [
        (
            {"frost_basis": "years", "frosty": 7, "frost_members": 20},
            "Frost came in this week in 7 of 20 past",
        ),
        ({"frost_basis": "years", "frosty": 0, "frost_members": 20}, "No frost came in this week in 20 past"),
        (
            {"frost_basis": "years", "frosty": 9, "frost_members": 9, "forecast_until": "2027-04-20"},
            "The forecast for the coming week has a frost in it.",
        ),
        (
            {"frost_basis": "years", "frosty": 0, "frost_members": 9, "forecast_until": "2027-04-20"},
            "The forecast for the coming week has no frost in it.",
        ),
        (
            {"frost_basis": "years", "frosty": 2, "frost_members": 9, "forecast_until": "2027-04-14"},
            "Beyond the forecast, frost came in this week in 2 of 9 past years.",
        ),
        ({"frost_basis": "normals", "frosty": 1, "frost_members": 99}, "less than one in twenty"),
        ({"frost_basis": "normals", "frosty": 99, "frost_members": 99}, "nearly certain"),
    ],
)
def test_frost_is_told_by_what_is_known(values: dict[str, Any], words: str) -> None:
    told = " ".join(
        site_day_words({"soil_c": 8.0, "is_corrected": True, **values}, today=TODAY, units="metric")
    )
    assert words in told


def test_no_frost_in_warm_soil_is_not_worth_a_word() -> None:
    values = {"soil_c": 16.0, "is_corrected": True, "frost_basis": "years", "frosty": 0, "frost_members": 20}
    assert "rost" not in " ".join(site_day_words(values, today=TODAY, units="metric"))


def test_the_site_stands_in_the_readers_units() -> None:
    values = {"soil_c": 10.0, "is_corrected": False}
    assert "50 °F" in site_day_words(values, today=TODAY, units="imperial")[0]


def test_a_site_is_worked_out_once_a_day(cast: factories.Cast, django_assert_num_queries: Any) -> None:
    site_days_keep([cast.site], today=TODAY, now=factories.instant(TODAY))
    assert SiteDay.objects.get().values == site_values(cast.site, today=TODAY)
    with django_assert_num_queries(1):
        site_days_keep([cast.site], today=TODAY, now=factories.instant(TODAY))


# Several sites, several plots, helpers


@pytest.fixture
def spread(cast: factories.Cast) -> factories.Cast:
    """Ana holds plot 3 of a southern site as well."""
    far = factories.make_site(
        cast.society, name="Withy Lane", latitude=-37.0, longitude=145.0, zone="Australia/Melbourne"
    )
    plot = factories.make_plot(far, "3", laid_out_on=SINCE)
    factories.make_tenancy(plot, cast.ana, since=SINCE)
    bed = factories.make_bed(plot, "long bed", since=SINCE)
    factories.make_job(factories.make_sowing(bed, "radish", season=2027), "weed", start_on=TODAY - 9 * DAY)
    return cast


def test_a_member_of_two_sites_reads_which_is_meant(spread: factories.Cast) -> None:
    make_job(spread)
    written = weekly_letter(member=spread.ana, reader=spread.ana, today=TODAY)
    text = " ".join(written.text.split())
    assert written.title.startswith("Two jobs on plot 7 at Alder Lane and plot 3 at Withy Lane, week from")
    assert "1. Weed radish Plot 3, long bed, Withy Lane" in text
    assert "2. Check the necks of carrot (early) Plot 7, bed 1, Alder Lane" in text
    assert "How Alder Lane stands" in text
    assert "How Withy Lane stands" in text
    assert "one of them is late" in text


def test_a_helper_is_written_to_like_a_holder(cast: factories.Cast) -> None:
    make_job(cast)
    told = weekly_letter(member=cast.ben, reader=cast.ben, today=TODAY)
    assert told.title.startswith("One job on plot 7,")


@pytest.mark.parametrize(
    ("late", "words"), [(0, "12 April."), (1, "; one of them is late."), (2, "; all are late.")]
)
def test_what_is_late_is_counted_at_the_head(cast: factories.Cast, late: int, words: str) -> None:
    for number, kind in enumerate(("necks", "weed")):
        make_job(cast, kind, start_on=TODAY - (9 if number < late else 0) * DAY)
    assert f"Two jobs on plot 7 in the week from Monday 12 April{words.removeprefix('12 April')}" in letter(
        cast
    )


# Cost


def test_letters_to_fifty_cost_no_more_queries_than_to_one(
    cast: factories.Cast, django_assert_num_queries: Any
) -> None:
    """Who works which plot (2), plots, sites' days, jobs, rest, last letters, what they told."""
    for number in range(50):
        member = factories.make_member(cast.society, f"Member {number}", joined_on=SINCE)
        plot = factories.make_plot(cast.site, f"n{number}", laid_out_on=SINCE)
        factories.make_tenancy(plot, member, since=SINCE)
        bed = factories.make_bed(plot, since=SINCE)
        job = factories.make_job(factories.make_sowing(bed, season=2027), "necks", start_on=TODAY)
        factories.make_delivery(
            member, local_date=LAST, state="sent", told={"jobs": {job.key: [], f"{job.key}-gone": []}}
        )
    site_days_keep([cast.site], today=TODAY, now=factories.instant(TODAY))
    people = list(type(cast.ana).objects.select_related("society").exclude(pk__lte=cast.dee.pk))
    for some in (people[:1], people):
        with django_assert_num_queries(9):
            letters = [written(matter) for matter in gather([To(each, each) for each in some], today=TODAY)]
        assert all(letter.told["jobs"] for letter in letters)


# In which order


def test_of_one_day_what_is_done_first_stands_first(cast: factories.Cast) -> None:
    """Seed is sown before it is covered, whatever the letters of the two words say."""
    sowing = factories.make_sowing(cast.bed, season=2027)
    for kind in ("cover", "sow"):
        factories.make_job(sowing, kind, start_on=TODAY)
    [matter] = gather([To(cast.ana, cast.ana)], today=TODAY)
    assert [due.kind for due in matter.jobs] == ["sow", "cover"]


# What was seen beside


def test_what_was_seen_beside_is_told_once_with_the_plots_it_is_for(cast: factories.Cast) -> None:
    """Ana works plots 8 and 9, both beside plot 7, where clubroot was confirmed; plot 7 is not named."""
    make_job(cast)
    Plot.objects.filter(pk=cast.plot.pk).update(number="Z99")
    factories.make_co_worker(cast.other_plot, cast.ana, since=SINCE)
    ninth = factories.make_plot(cast.site, "9", laid_out_on=SINCE, corner=(0.0, -9.0))
    factories.make_tenancy(ninth, cast.ana, since=SINCE)
    factories.make_sighting(cast.bed, "clubroot", on=LAST, is_sure=True, tell_neighbours=True)
    text = letter(cast)
    told = text.split("Seen beside your ground", 1)[1]
    assert told.count("Clubroot was seen on ground beside yours.") == 1
    assert told.startswith(" Plots 8 and 9 Clubroot")
    assert "Z99" not in told.split("How Alder Lane stands")[0]


def test_what_the_committee_does_not_tell_stands_in_no_letter(cast: factories.Cast) -> None:
    make_job(cast)
    factories.make_sighting(cast.other_bed, "clubroot", on=LAST, is_sure=True)
    assert "Seen beside" not in letter(cast)


# How to have no more of it


def test_the_foot_stops_what_the_mail_program_s_button_stops(cast: factories.Cast) -> None:
    found = weekly_letter(member=cast.ana, reader=cast.ana, today=TODAY)
    link = stop_link(kind=Delivery.Kind.WEEKLY, member=cast.ana.pk, reader=cast.ana.pk)
    assert f"without a log-in; the page asks once more:\n{link}\n" in found.text
    assert f'href="{link}"' in found.html
    assert ">Stop the weekly letter</a>, without a log-in" in found.html


def test_who_stands_in_is_offered_to_stand_in_no_longer(cast: factories.Cast) -> None:
    found = weekly_letter(member=cast.ana, reader=cast.col, today=TODAY)
    assert "Stand in for Ana Orchard no longer, without a log-in" in " ".join(found.text.split())


def test_no_such_link_stands_on_paper(cast: factories.Cast, client: Client) -> None:
    make_job(cast)
    factories.make_sighting(cast.other_bed, "clubroot", on=LAST, is_sure=True, tell_neighbours=True)
    Member.objects.filter(pk=cast.ana.pk).update(email="")
    with time_machine.travel(factories.instant(TODAY), tick=False):
        client.force_login(cast.dee_account)
        page = client.get(reverse("letters-print")).content.decode()
    assert "Clubroot was seen on ground beside yours." in page
    assert "log-in;" not in page
    assert reverse("letter-stop", args=["x"]).rpartition("x")[0] not in page
