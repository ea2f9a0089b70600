import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.agronomy.thermal_time import (
    degree_days_average,
    degree_days_sine,
    degree_days_triangle,
    heat_sum,
    maturity_degree_days,
    reached_index,
)

METHODS = [degree_days_average, degree_days_triangle, degree_days_sine]
temperatures = st.floats(-30, 45, allow_nan=False)


@pytest.mark.parametrize("method", METHODS)
def test_a_minimum_above_the_maximum_is_refused_with_its_place(method):
    with pytest.raises(ValueError, match=r"tmin_c 9\.0 is above tmax_c 4\.0 at position \(1,\)"):
        method([2.0, 9.0], [10.0, 4.0], 5)


@pytest.mark.parametrize("method", METHODS)
def test_a_cut_off_below_the_base_is_refused(method):
    with pytest.raises(ValueError, match="upper_c 4 must be above base_c 5"):
        method([2.0], [10.0], 5, 4)


@pytest.mark.parametrize("method", METHODS)
def test_a_gap_stays_a_gap(method):
    assert np.isnan(method([2.0, np.nan, 4.0], [10.0, 12.0, np.nan], 5)).tolist() == [False, True, True]


@pytest.mark.parametrize("method", METHODS)
def test_a_day_wholly_above_the_base_counts_its_mean(method):
    assert method(8.0, 16.0, 5) == pytest.approx(7.0)


@pytest.mark.parametrize("method", METHODS)
def test_a_day_wholly_below_the_base_counts_nothing(method):
    assert method(-4.0, 4.0, 5) == 0


@pytest.mark.parametrize("method", METHODS)
@given(a=temperatures, b=temperatures, base=temperatures)
def test_degree_days_lie_between_nothing_and_the_whole_height(method, a, b, base):
    low, high = min(a, b), max(a, b)
    result = method(low, high, base)
    assert -1e-9 <= result <= max(high - base, 0) + 1e-9


@pytest.mark.parametrize("method", METHODS)
@given(a=temperatures, b=temperatures)
def test_a_cut_off_never_adds_heat_and_caps_the_day(method, a, b):
    low, high = min(a, b), max(a, b)
    capped = method(low, high, 5, 20)
    assert capped <= method(low, high, 5) + 1e-9
    assert capped <= 15 + 1e-9


def test_a_sum_over_a_gap_says_it_is_incomplete():
    total = heat_sum([3.0, np.nan, 4.0])
    assert (total.known_cd, total.missing_days, total.complete) == (7.0, 1, False)


def test_a_sum_without_gaps_is_complete():
    assert heat_sum([3.0, 4.0]).complete


def test_a_sum_is_reached_on_the_day_it_first_equals_the_total():
    assert reached_index([[2.0, 2.0, 2.0, 2.0]], 1, 4.0).tolist() == [2]


def test_a_sum_of_tenths_is_not_missed_through_rounding():
    assert reached_index([[0.1] * 12], 0, 1.0).tolist() == [9]


def test_each_member_has_its_own_start_and_total():
    assert reached_index(np.ones((3, 10)), [0, 5, 9], [3, 3, 3]).tolist() == [2, 7, -1]


def test_a_sum_never_started_is_never_reached():
    assert reached_index(np.ones((1, 10)), -1, 3).tolist() == [-1]


def test_a_sum_behind_a_gap_is_unknown():
    assert reached_index([[1.0, 1.0, np.nan, 1.0, 1.0]], 0, 3.0).tolist() == [-1]


def test_a_sum_reached_before_a_gap_is_known():
    assert reached_index([[1.0, 1.0, np.nan, 1.0, 1.0]], 0, 2.0).tolist() == [1]


def test_a_gap_before_the_start_does_not_matter():
    assert reached_index([[np.nan, 1.0, 1.0]], 1, 2.0).tolist() == [2]


def test_printed_days_become_heat_above_the_base():
    assert maturity_degree_days(60, 4.0, 15.0) == 660


@pytest.mark.parametrize(("days", "base_c"), [(0, 4), (60, 15)])
def test_printed_days_that_give_no_heat_are_refused(days, base_c):
    with pytest.raises(ValueError, match="maturity"):
        maturity_degree_days(days, base_c, 15.0)
