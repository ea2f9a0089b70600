from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from schedules.agronomy.climate import Ensemble
from schedules.agronomy.frost_odds import cold_night_of, last_frost_of
from schedules.agronomy.warmth import degree_days_of, on_a_curve

FIRST = date(2027, 1, 1)


def window(lows_c, basis="normals", **changes):
    lows = np.asarray(lows_c, dtype=float)
    return Ensemble(FIRST, lows, lows + 8, basis, lows.shape[0], 1.3, None, 0, **changes)


def spring(members=9, days=181, begins_c=0.0, ends_c=10.0):
    return np.repeat(np.linspace(begins_c, ends_c, days)[None, :], members, axis=0)


def test_past_years_are_read_as_they_are():
    lows = spring(members=3)
    lows[1, 100] = -0.5
    found = last_frost_of(window(lows, basis="years"), 0, 181)
    assert found.tolist() == [0, 100, 0]


def test_on_a_curve_members_meet_early_and_late_frosts():
    found = np.sort(last_frost_of(window(spring()), 0, 181))
    assert found[0] < found[4] < found[-1]
    assert (found >= 0).all()


def test_a_warmer_curve_never_has_a_later_last_frost():
    cool, warm = window(spring()), window(spring() + 1.5)
    assert (last_frost_of(warm, 0, 181) <= last_frost_of(cool, 0, 181)).all()


def test_where_nights_are_warm_there_is_none():
    assert (last_frost_of(window(np.full((9, 90), 25.0)), 0, 90) == -1).all()


def test_observed_nights_are_read_as_they_are_and_the_rest_by_luck():
    lows = spring()
    lows[:, :60] = 12.0
    lows[:, 20] = -3.0
    known = replace(window(lows), observed_until=FIRST + timedelta(days=59))
    assert (last_frost_of(known, 0, 60) == 20).all()
    assert (last_frost_of(known, 0, 181) >= 20).all()
    assert (last_frost_of(known, 0, 181) > 60).any()


def test_the_first_frost_of_autumn_mirrors_the_last_of_spring():
    lows = spring()
    last = np.sort(last_frost_of(window(lows), 0, 181))
    first = np.sort(cold_night_of(window(lows[:, ::-1]), 0.0, 0, 181))
    np.testing.assert_array_equal(np.sort(180 - last), first)


def test_two_cold_nights_come_after_one():
    lows = spring()[:, ::-1] - 6
    one, two = (cold_night_of(window(lows), -3.5, 0, 181, nights=each) for each in (1, 2))
    assert (two == one + 1).all()


def test_two_cold_nights_of_a_past_year_need_not_be_next_to_each_other():
    lows = np.full((1, 10), 3.0)
    lows[0, [2, 7]] = -4.0
    assert cold_night_of(window(lows, basis="years"), -3.5, 0, 10, nights=2).tolist() == [7]
    assert cold_night_of(window(lows, basis="years"), -3.5, 3, 10, nights=2).tolist() == [-1]


def test_three_nights_are_refused():
    with pytest.raises(ValueError, match="nights"):
        cold_night_of(window(spring()), 0.0, 0, 10, nights=3)


def test_an_empty_span_has_no_frost():
    assert (last_frost_of(window(spring()), 50, 50) == -1).all()
    assert (cold_night_of(window(spring()), 0.0, 50, 50) == -1).all()


def test_the_answer_is_the_same_every_time():
    np.testing.assert_array_equal(
        last_frost_of(window(spring()), 0, 181), last_frost_of(window(spring()), 0, 181)
    )


def test_days_observed_or_forecast_are_no_curve():
    lows = spring()
    known = replace(
        window(lows),
        observed_until=FIRST + timedelta(days=9),
        forecast_until=FIRST + timedelta(days=14),
        is_missing=np.arange(181) == 4,
    )
    smooth = on_a_curve(known)
    assert smooth[4]
    assert smooth[:15].sum() == 1
    assert smooth[15:].all()
    assert not on_a_curve(window(lows, basis="years")).any()


def test_warmth_is_as_observed_where_it_was_and_as_expected_elsewhere():
    lows = np.full((2, 20), 1.0)  # means of 5.0 °C: on the base
    known = replace(window(lows), observed_until=FIRST + timedelta(days=9))
    warmth = degree_days_of(known, 5.0)
    assert (warmth[:, :10] == 0).all()
    # On the base itself a normal distribution exceeds it by 0.3989 standard deviations of 3 °C.
    np.testing.assert_allclose(warmth[:, 10:], 3 * 0.39894228, atol=1e-6)
