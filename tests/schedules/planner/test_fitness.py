import numpy as np

from schedules.planner.fitness import first_fit


def fit(*soil_c: float, start: int = 0) -> int:
    """First fit day of one member at 8 °C; the last value goes on for ever."""
    return int(first_fit(np.array([[*soil_c, *[soil_c[-1]] * 20]]), 8.0, start)[0])


def test_ground_is_fit_on_the_third_warm_day():
    assert fit(5, 7, 8, 8, 9) == 4


def test_two_warm_days_are_not_enough():
    assert fit(8, 8, 7, 8, 8, 8) == 5


def test_ground_that_cools_towards_the_threshold_is_not_fit():
    assert fit(11, 10, 9, 8, 7) == 25


def test_ground_that_cools_but_stays_warm_for_a_fortnight_is_fit():
    assert fit(20, 19, 18, 17, 16) == 2


def test_no_day_before_the_start_counts():
    assert fit(9, 9, 9, 9, 9, 9, start=5) == 5


def test_ground_that_stays_cold_is_never_fit():
    assert fit(4, 4, 4) == 23


def test_a_start_past_the_last_day_is_never_fit():
    assert fit(9, 9, 9, start=400) == 23
