from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from plots.crops import crop
from schedules.agronomy.evenings import NO_HOURS, Hours
from schedules.planner import sentence
from schedules.planner.rules.tonight import (
    Rating,
    bears_down_to_c,
    cover_tonight,
    frost_tonight,
    lift_tonight,
    slug_night,
    slug_night_by_yesterday,
    thin_tonight,
)
from tests.schedules.planner.climates import NORTH

TODAY = date(2027, 5, 10)
BEGINS = datetime(2027, 5, 10, 12, tzinfo=UTC)


def hours(count=30, **values):
    arrays = {"air_c": 12.0, "wind_ms": 1.0, "rain_mm": 0.0} | values
    at = tuple(BEGINS + timedelta(hours=each) for each in range(count))
    return Hours(at, **{name: np.broadcast_to(value, count).copy() for name, value in arrays.items()})


def coldest(low_c, count=30, at=16):
    air = np.full(count, 9.0)
    air[at] = low_c
    return hours(count, air_c=air)


def thin(told, *, covered=True, flies_about=True):
    return thin_tonight(told, NORTH, TODAY, covered=covered, flies_about=flies_about)


@pytest.mark.parametrize(
    ("wind_ms", "rain_mm", "rating"),
    [
        (1.5, 0.0, Rating.GOOD),
        (1.6, 0.0, Rating.FAIR),
        (1.0, 0.1, Rating.FAIR),
        (3.3, 0.5, Rating.FAIR),
        (3.4, 0.0, Rating.POOR),
        (1.0, 1.0, Rating.POOR),
    ],
)
def test_a_still_dry_evening_is_good_for_thinning(wind_ms, rain_mm, rating):
    assert thin(hours(wind_ms=wind_ms, rain_mm=rain_mm)).rating is rating


def test_without_a_mesh_to_put_back_the_evening_is_one_worse():
    assert thin(hours(), covered=False).rating is Rating.FAIR
    assert thin(hours(wind_ms=2.0), covered=False).rating is Rating.POOR
    assert thin(hours(), covered=False, flies_about=False).rating is Rating.GOOD


def test_the_conflicting_evidence_is_shown():
    found = thin(hours())
    assert "conflicting" in sentence(found.reason)
    assert "17:00 to dusk" in found.reason.source
    assert "put the mesh back at once" in sentence(found.reason)


def test_no_forecast_is_no_rating():
    found = thin(NO_HOURS)
    assert (found.rating, found.reason.rule) == (Rating.NOT_KNOWN, "evening_not_known")
    gap = hours()
    gap.wind_ms[6] = np.nan
    assert thin(gap).rating is Rating.NOT_KNOWN


def frost(told, **changes):
    return frost_tonight(told, NORTH, TODAY, **changes)


def test_a_frost_is_told_with_its_word_and_number():
    found = frost(coldest(-2.0))
    assert (found.rating, found.reason.values["word"]) == (Rating.FROST, "slight frost")
    assert "a slight frost may come, -2 °C in the air" in sentence(found.reason)
    assert "28 °F" in sentence(found.reason, "imperial")


def test_the_country_chooses_the_words():
    assert frost(coldest(-3.0), words="us").reason.values["word"] == "hard freeze"
    assert frost(coldest(-3.0), words="de").reason.values["word"] == "light frost"


def test_just_above_freezing_leaves_may_freeze():
    found = frost(coldest(1.5))
    assert (found.rating, found.reason.rule) == (Rating.FROST, "frost_near_the_ground")


def test_a_mild_whole_night_has_no_frost():
    assert frost(coldest(4.0)).rating is Rating.NO_FROST


def test_a_night_cut_short_never_counts_as_without_frost():
    found = frost(hours(count=12, air_c=8.0))
    assert (found.rating, found.reason.rule) == (Rating.NOT_KNOWN, "night_not_known")
    assert "does not reach through the night" in sentence(found.reason)
    assert frost(NO_HOURS).rating is Rating.NOT_KNOWN


def test_a_frost_in_the_hours_that_are_known_is_told_all_the_same():
    found = frost(coldest(-1.0, count=12, at=10))
    assert found.rating is Rating.FROST
    assert "in the hours that the forecast holds" in sentence(found.reason)


def covered(told, key, *, young=False):
    return cover_tonight(told, NORTH, TODAY, crop=crop(key), young=young)


@pytest.mark.parametrize(
    ("key", "young", "bears_c"),
    [
        ("runner-bean", False, 2.2),
        ("potato-early", True, 2.2),
        ("carrot-early", True, 0.0),
        ("carrot-early", False, -2.2),
        ("turnip", True, -2.2),
        ("turnip", False, -10.0),
        ("swede", False, None),
        ("leek", True, None),
    ],
)
def test_what_a_crop_bears_goes_by_its_class_and_age(key, young, bears_c):
    assert bears_down_to_c(crop(key), young=young) == bears_c


def test_a_tender_crop_is_covered_before_a_night_near_freezing():
    found = covered(coldest(1.0), "runner-bean")
    assert found is not None
    assert found.rating is Rating.COVER
    assert "Cover runner beans before dark" in sentence(found.reason)


def test_a_whole_mild_night_asks_for_no_cover():
    assert covered(coldest(5.0), "runner-bean") is None
    assert covered(coldest(-1.0), "carrot-early") is None


def test_an_unknown_night_is_said_to_be_unknown():
    for told in (NO_HOURS, hours(count=10)):
        found = covered(told, "runner-bean")
        assert found is not None
        assert found.rating is Rating.NOT_KNOWN


def test_a_crop_that_bears_any_frost_is_not_asked_about():
    assert covered(NO_HOURS, "leek", young=True) is None


def lifted(told, key):
    return lift_tonight(told, NORTH, TODAY, crop=crop(key))


def test_what_is_dug_comes_up_or_goes_under_straw_before_a_hard_frost():
    """28 °F, -2.2 °C: hard freeze, National Weather Service."""
    found = lifted(coldest(-2.2), "beetroot-maincrop")
    assert found is not None
    assert "lay straw over the rows: the forecast falls to -2.2 °C" in sentence(found.reason)
    assert "28 °F" in sentence(found.reason, "imperial")


@pytest.mark.parametrize(
    ("low_c", "key"),
    [(-2.0, "beetroot-maincrop"), (-4.0, "parsnip"), (-4.0, "french-bean"), (None, "beetroot-maincrop")],
)
def test_a_light_frost_what_stays_all_winter_and_what_is_picked_ask_for_no_lifting(low_c, key):
    assert lifted(NO_HOURS if low_c is None else coldest(low_c), key) is None


def slugs(told, rain_before_mm):
    return slug_night(told, NORTH, TODAY, rain_before_mm=rain_before_mm)


def test_slugs_are_out_in_a_mild_still_night_after_rain():
    assert slugs(hours(), 4.0).rating is Rating.MANY
    assert slugs(hours(), 0.0).rating is Rating.FEW
    assert slugs(hours(wind_ms=6.0), 4.0).rating is Rating.SOME


def test_where_the_rain_before_is_not_known_only_a_wet_night_tells():
    assert slugs(hours(), None).rating is Rating.NOT_KNOWN
    assert slugs(hours(rain_mm=0.2), None).rating is Rating.MANY


def test_slugs_of_a_night_that_is_not_known_are_not_rated():
    assert slugs(NO_HOURS, 4.0).rating is Rating.NOT_KNOWN
    assert slug_night_by_yesterday(5.0, 15.0, None, 1.0).rating is Rating.NOT_KNOWN


def test_yesterday_stands_in_where_there_is_no_forecast():
    found = slug_night_by_yesterday(8.0, 16.0, 3.0, 1.0)
    assert (found.rating, found.reason.values["mean_c"]) == (Rating.MANY, 10.0)
    assert "if the night is like the last" in sentence(found.reason)


def test_every_answer_reads_in_both_units():
    answers = [
        *(thin(hours(wind_ms=wind), covered=c) for wind in (1.0, 2.0, 5.0) for c in (True, False)),
        thin(hours(), flies_about=False),
        thin(NO_HOURS),
        *(frost(coldest(low)) for low in (-20.0, -8.0, 0.0, 1.0, 6.0)),
        frost(coldest(1.0), words="us"),
        frost(NO_HOURS),
        covered(coldest(1.0), "runner-bean", young=True),
        slugs(hours(), 4.0),
        slug_night_by_yesterday(8.0, 16.0, 3.0, 1.0),
    ]
    for answer in answers:
        assert answer is not None
        assert answer.reason.source
        for units in ("metric", "imperial"):
            text = sentence(answer.reason, units)
            assert text[0].isupper()
            assert text.endswith(".")
            assert text.count(". ") <= 1
            if units == "imperial":
                assert not {"°C", "mm", "m/s"} & set(text.replace(",", " ").replace(".", " ").split())
