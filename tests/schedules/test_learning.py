"""What a site's record teaches its plans: thermometers correct the soil estimate, liftings stretch heat sums.

The air is held at 10 °C throughout, so that the soil estimate is 10 °C by any account of it (a linear filter
of a constant is that constant) and a day brings 10 - base degree days.
"""

from datetime import date, timedelta

import pytest

from plots.crops import crop as crop_of
from plots.models import Sowing
from schedules.learning_selectors import SiteHistory
from schedules.models import Job, WeatherDay
from schedules.plan_services import site_replan
from schedules.planner.demands import base_c, degree_days_of
from schedules.reading_selectors import day_counted
from schedules.site_facts import site_facts
from schedules.weather_selectors import observed_weather
from tests.factories import instant, make_cast, make_reading, make_sowing

TODAY = date(2027, 6, 1)
BEGINS = date(2025, 1, 1)
RADISH = crop_of("radish")


@pytest.fixture
def cast(db):
    cast = make_cast(since=date(2020, 1, 1))
    WeatherDay.objects.bulk_create(
        WeatherDay(site=cast.site, day=BEGINS + timedelta(days=n), tmin_c=6.0, tmax_c=14.0)
        for n in range((TODAY - BEGINS).days)
    )
    return cast


def read_soil(cast, back, value, **fields):
    return make_reading(cast.site, cast.ana, TODAY - timedelta(days=back), value=value, **fields)


def facts(cast):
    return site_facts(cast.site, history=SiteHistory(cast.site, TODAY))


def lifted(cast, sown, days, *, crop="radish", state=Sowing.State.LIFTED):
    gone = sown + timedelta(days=days - 1)
    return make_sowing(cast.bed, crop, season=sown.year, state=state, sown_on=sown, ended_on=gone)


def factors(cast, *crops):
    return SiteHistory(cast.site, TODAY).growth(crops or ("radish",))


def days_for(crop, printed):
    """Days at 10 °C that bring the heat of so many printed days."""
    return round(degree_days_of(crop, printed) / (10.0 - base_c(crop)))


MIDDLE = (RADISH.number("days_to_maturity_min") + RADISH.number("days_to_maturity_max")) / 2


def test_without_readings_nothing_is_corrected(cast):
    assert facts(cast) == site_facts(cast.site)
    assert (facts(cast).soil_correction_c, facts(cast).soil_error_c, facts(cast).soil_readings) == (
        0,
        None,
        0,
    )


def test_readings_correct_the_soil_and_say_how_far_out_it_was(cast):
    """Twenty days two degrees above the estimate: 2 * 20 / 23, if none had aged; age takes a little."""
    for back in range(20):
        read_soil(cast, back, 12.0)

    found = facts(cast)
    assert 1.6 < found.soil_correction_c < 2 * 20 / 23
    assert found.soil_error_c < 0.4
    assert found.soil_readings == 20
    assert SiteHistory(cast.site, TODAY).soil.error_before_c == pytest.approx(2.0, abs=0.01)


@pytest.mark.parametrize(
    "fields",
    [{"depth_mm": 300}, {"depth_mm": 40}, {"withdrawn_at": instant(TODAY)}],
    ids=["too deep", "too shallow", "withdrawn"],
)
def test_what_says_nothing_of_sowing_depth_is_kept_and_not_used(cast, fields):
    read_soil(cast, 3, 18.0, **fields)

    assert facts(cast).soil_readings == 0


def test_a_reading_after_unknown_weather_is_not_used(cast):
    read_soil(cast, 3, 18.0)
    lost = WeatherDay.objects.filter(day__gte=TODAY - timedelta(days=20), day__lt=TODAY - timedelta(days=10))
    lost.delete()

    assert facts(cast).soil_readings == 0


def test_what_was_learnt_costs_a_fixed_number_of_queries(cast, django_assert_max_num_queries):
    for back in range(30):
        read_soil(cast, back, 12.0)
        lifted(cast, TODAY - timedelta(days=100 + back), 40)
    with django_assert_max_num_queries(5):  # soil readings, liftings, the record (days, readings), normals
        history = SiteHistory(cast.site, TODAY)
        assert (history.soil.days, history.growth(["radish"])["radish"].liftings) == (30, 30)


def test_liftings_at_the_expected_heat_stretch_nothing(cast):
    for number in range(6):
        lifted(cast, date(2026, 4, 1 + number), days_for(RADISH, MIDDLE))

    assert factors(cast)["radish"].factor == pytest.approx(1.0, abs=0.02)
    assert factors(cast)["radish"].liftings == 6


def test_early_liftings_shorten_the_crop_and_the_plan_follows(cast):
    """Four liftings at four fifths of the middle heat: the square root of 0.8, by a prior of four."""
    sowing = make_sowing(cast.other_bed, "radish", season=2027, sow_on=TODAY)
    site_replan(site=cast.site, now=instant(TODAY))
    before = Job.objects.get(sowing=sowing, kind="lift").best_on
    for number in range(4):
        lifted(cast, date(2026, 4, 1 + number), days_for(RADISH, MIDDLE * 0.8))

    site_replan(site=cast.site, now=instant(TODAY))

    assert factors(cast)["radish"].factor == pytest.approx(0.8**0.5, abs=0.02)
    assert Job.objects.get(sowing=sowing, kind="lift").best_on < before


def test_what_was_cleared_or_lifted_elsewhere_says_nothing(cast):
    lifted(cast, date(2026, 4, 1), 40, state=Sowing.State.CLEARED)
    lifted(cast, date(2026, 4, 1), 40, crop="turnip")

    assert factors(cast) == {}


def test_a_lifting_in_unknown_weather_says_nothing(cast):
    lifted(cast, date(2024, 4, 1), 40)

    assert factors(cast) == {}


def test_a_day_counts_the_file_then_the_latest_reading(cast):
    first = make_reading(cast.site, cast.ana, TODAY, quantity="tmin_c", value=3.0, depth_mm=None)
    later = make_reading(cast.site, cast.ben, TODAY, quantity="tmin_c", value=4.0, depth_mm=None)

    without = day_counted({}, [first, later])
    assert (without.values["tmin_c"], without.idle) == (4.0, {first.pk: "later"})
    beside = day_counted({"tmin_c": 5.0}, [first, later])
    assert (beside.values["tmin_c"], beside.idle) == (5.0, {first.pk: "file", later.pk: "file"})
    crossed = day_counted({"tmax_c": 3.5}, [first, later])
    assert (crossed.values["tmin_c"], crossed.idle) == (3.0, {later.pk: "crossed"})


def test_readings_alone_make_a_record(cast):
    WeatherDay.objects.all().delete()
    make_reading(cast.site, cast.ana, date(2027, 5, 30), quantity="rain_mm", value=7.0, depth_mm=None)

    days = observed_weather(cast.site, before=TODAY)

    assert (days.first, days.rain_mm.tolist()) == (date(2027, 5, 30), [7.0])
