"""Readings that cannot be true, in invented weather."""

from datetime import date

import numpy as np
import pytest

from schedules.agronomy.climate import DailyWeather, crossed, far_from_past, impossible
from tests.schedules.agronomy.weather import NORMALS, by_month, record

DAY = date(2026, 7, 18)


def noisy(first=date(2010, 1, 1), last=date(2025, 12, 31), spread_c=3.0):
    """By month, with a fixed unrest of about three degrees."""
    unrest = np.random.default_rng(7).normal(0.0, spread_c, 20_000)
    days = record(first, last, lambda dates: by_month(dates) + unrest[: dates.size])
    days.rain_mm[:] = np.random.default_rng(8).exponential(5.0, days.rain_mm.size)
    return days


def at(days, day):
    return (day - days.first).days


@pytest.mark.parametrize(
    ("quantity", "edge", "beyond", "rule"),
    [
        ("tmin_c", -60.0, -60.1, "under_the_possible"),
        ("tmax_c", 60.0, 60.1, "over_the_possible"),
        ("rain_mm", 0.0, -0.1, "under_the_possible"),
        ("rain_mm", 1825.0, 2000.1, "over_the_possible"),
        ("wind_ms", 113.0, 113.1, "over_the_possible"),
    ],
)
def test_the_possible_has_an_edge(quantity, edge, beyond, rule):
    """1825 mm in a day (La Réunion 1966) and a gust of 113 m/s: WMO archive, from memory."""
    assert impossible(DAY, quantity, edge) is None
    found = impossible(DAY, quantity, beyond)
    assert (found.rule, found.value, found.day) == (rule, beyond, DAY)


def test_a_gap_is_never_suspect():
    assert impossible(DAY, "tmin_c", float("nan")) is None
    assert crossed(DAY, float("nan"), 3.0) == ()


def test_either_of_two_crossed_temperatures_may_be_wrong():
    assert [each.quantity for each in crossed(DAY, 9.0, 3.0)] == ["tmin_c", "tmax_c"]
    assert crossed(DAY, 3.0, 3.0) == ()


def test_one_wild_reading_is_found_among_many_years():
    days = noisy()
    days.tmin_c[at(days, date(2020, 7, 18))] = -40.0
    (found,) = far_from_past(days)
    assert (found.day, found.quantity, found.rule) == (date(2020, 7, 18), "tmin_c", "far_from_own_past")
    assert found.values["deviations"] > 10


def test_the_seasons_are_told_apart():
    """25 °C is nothing in July and beyond belief in January."""
    days = noisy(spread_c=2.0)
    for day in (date(2020, 7, 10), date(2020, 1, 10)):
        days.tmax_c[at(days, day)] = 25.0
    assert [each.day for each in far_from_past(days)] == [date(2020, 1, 10)]


@pytest.mark.parametrize("departure_c", [0.0, 4.0, 8.5])
def test_a_departure_under_six_least_deviations_is_kept(departure_c):
    days = noisy(spread_c=0.1)
    days.tmin_c[500] -= departure_c
    days.tmax_c[500] += departure_c
    assert far_from_past(days) == ()


def test_a_new_file_is_judged_by_what_was_known_before():
    history = noisy()
    new = record(date(2026, 7, 1), date(2026, 7, 3), by_month)
    new.tmin_c[1] = -25.0
    assert far_from_past(new) == ()
    (found,) = far_from_past(new, history=history)
    assert (found.day, found.rule) == (date(2026, 7, 2), "far_from_own_past")


def test_six_years_are_too_few_and_the_normals_speak_instead():
    days = noisy(date(2020, 1, 1))
    days.tmin_c[at(days, date(2022, 7, 18))] = -20.0
    assert far_from_past(days) == ()
    (found,) = far_from_past(days, usual=NORMALS)
    assert (found.rule, found.values["limit"]) == ("far_from_usual", 30.0)


def test_a_cloudburst_is_kept_and_a_slip_of_the_point_is_not():
    """One wet day in twenty brings 15 mm there: 120 mm may come, 1500 mm is a slip of the point."""
    days = noisy()
    days.rain_mm[at(days, date(2021, 8, 1))] = 120.0
    days.rain_mm[at(days, date(2022, 8, 1))] = 1500.0
    (found,) = far_from_past(days)
    assert (found.day, found.rule) == (date(2022, 8, 1), "rain_far_from_own_past")


def test_nothing_but_gaps_is_judged_without_a_fault():
    unknown = np.full(4000, np.nan)
    assert far_from_past(DailyWeather(date(2010, 1, 1), unknown, unknown, unknown, unknown)) == ()
