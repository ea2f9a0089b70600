"""A whole file in the wrong unit of temperature, in invented weather."""

from datetime import date

import numpy as np
import pytest

from schedules.agronomy.climate import Normals, wrong_unit
from tests.schedules.agronomy.weather import NORMALS, UNKNOWN, by_month, record

YEAR = record(date(2025, 1, 1), date(2025, 12, 31), by_month)
JANUARY, JULY = slice(0, 31), slice(181, 212)
EVERY_DAY = slice(None)


def fahrenheit(celsius):
    return celsius * 1.8 + 32


def celsius(fahrenheit):
    return (fahrenheit - 32) / 1.8


def judged(change, *, stated, part=EVERY_DAY, **known):
    return wrong_unit(
        change(YEAR.tmin_c[part]), change(YEAR.tmax_c[part]), YEAR.dates[part], stated=stated, **known
    )


@pytest.mark.parametrize("part", [EVERY_DAY, JANUARY, JULY])
@pytest.mark.parametrize("known", [{}, {"usual": NORMALS}, {"latitude": 52.0}])
@pytest.mark.parametrize("stated", ["c", "f"])
def test_a_true_heading_is_never_accused(part, known, stated):
    assert judged(lambda each: each, stated=stated, part=part, **known) is None


@pytest.mark.parametrize("part", [EVERY_DAY, JANUARY, JULY])
def test_the_sites_normals_find_out_either_mistake(part):
    assert judged(fahrenheit, stated="c", part=part, usual=NORMALS).rule == "far_from_usual_unless_swapped"
    assert judged(celsius, stated="f", part=part, usual=NORMALS).rule == "far_from_usual_unless_swapped"


def test_a_year_finds_itself_out():
    assert judged(fahrenheit, stated="c").rule == "hotter_than_any_record"
    assert judged(celsius, stated="f").rule == "never_warm"


def test_the_latitude_finds_out_a_single_month():
    assert judged(fahrenheit, stated="c", part=JANUARY, latitude=52.0).rule == "winter_too_warm"
    assert judged(celsius, stated="f", part=JULY, latitude=52.0).rule == "summer_too_cold"


def test_the_south_has_its_winter_in_july():
    mean_c = 4.0 + np.zeros(31)
    found = wrong_unit(
        fahrenheit(mean_c - 4), fahrenheit(mean_c + 4), YEAR.dates[JULY], stated="c", latitude=-42.0
    )
    assert found.rule == "winter_too_warm"
    assert judged(fahrenheit, stated="c", part=JANUARY, latitude=-42.0) is None


def test_a_winter_alone_says_too_little_and_passes():
    """The known blind spot: nothing is known of the site, and 30 to 45 may be a hot place."""
    assert judged(fahrenheit, stated="c", part=JANUARY) is None


@pytest.mark.parametrize("latitude", [None, 23.0, -23.0])
def test_a_hot_desert_is_not_accused(latitude):
    """Nights of 25 °C and days of 45 °C the whole year round, hotter than any place keeps up."""
    low, high = np.full(365, 25.0), np.full(365, 45.0)
    desert = Normals(np.full(12, 25.0), np.full(12, 45.0), UNKNOWN, UNKNOWN)
    assert wrong_unit(low, high, YEAR.dates, stated="c", latitude=latitude) is None
    assert wrong_unit(low, high, YEAR.dates, stated="c", latitude=latitude, usual=desert) is None


def test_a_few_slips_are_no_wrong_unit():
    tmax_c = YEAR.tmax_c.copy()
    tmax_c[[100, 200, 300]] = 71.0
    assert wrong_unit(YEAR.tmin_c, tmax_c, YEAR.dates, stated="c") is None


def test_a_site_far_from_its_normals_both_ways_is_not_accused():
    """Normals of another place: reading the file in the other unit does not mend it."""
    elsewhere = Normals(np.full(12, -30.0), np.full(12, -20.0), UNKNOWN, UNKNOWN)
    assert judged(lambda each: each, stated="c", usual=elsewhere) is None


def test_gaps_are_passed_over():
    tmin_c = YEAR.tmin_c.copy()
    tmin_c[::2] = np.nan
    assert wrong_unit(fahrenheit(tmin_c), fahrenheit(YEAR.tmax_c), YEAR.dates, stated="c") is not None
    assert (
        wrong_unit(np.full(365, np.nan), np.full(365, np.nan), YEAR.dates, stated="f", latitude=50.0) is None
    )
