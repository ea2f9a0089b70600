"""Learning from a site: nothing from nothing, little from little, and no wild reading carries it away.

The shrunken mean is checked against ridge regression solved by numpy's least squares: adding to the
readings, each scaled by the root of its weight, one row of sqrt(3) * correction = 0 is the same thing (Hoerl
and Kennard, Ridge regression, Technometrics 12, 1970), and against Bühlmann's credibility Z = n / (n + k),
in which n = k gives a half (Bühlmann and Gisler, A Course in Credibility Theory, 2005, chapter 3; from
memory).
"""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schedules.agronomy.site_learning import (
    AGE_HALF_LIFE_DAYS,
    GROWTH_RANGE,
    LARGEST_CORRECTION_C,
    SEASON_HALF_LIFE_DAYS,
    GrowthLearning,
    Lifting,
    SoilLearning,
    growth_factor,
    soil_correction,
)

TODAY = np.datetime64("2027-04-12")
errors = st.floats(-40, 40)
ages = st.integers(0, 1500)
history = st.lists(st.tuples(ages, errors), max_size=40)


def learnt(rows, today=TODAY):
    return soil_correction([today - age for age, _ in rows], [error for _, error in rows], today)


def test_no_reading_is_no_correction():
    assert soil_correction([], [], TODAY) == SoilLearning(0.0, None, None, 0)
    assert soil_correction([TODAY], [np.nan], TODAY) == SoilLearning()


def test_a_day_and_an_error_go_together():
    with pytest.raises(ValueError, match="give one error for each day"):
        soil_correction([TODAY], [], TODAY)


@settings(deadline=None)
@given(history)
def test_the_correction_is_that_of_ridge_regression(rows):
    dates = {age: [e for a, e in rows if a == age] for age, _ in rows}
    held = np.array([np.clip(np.mean(each), -6, 6) for each in dates.values()])
    age = np.array(list(dates), dtype=float)
    from_season = np.abs(age - 365.25 * np.round(age / 365.25))
    root = np.sqrt(2.0 ** -(from_season / 45 + age / 730))
    left = np.append(root, np.sqrt(3.0))[:, None]
    right = np.append(root * held, 0.0)
    ridge = np.linalg.lstsq(left, right, rcond=None)[0][0]

    assert learnt(rows).correction_c == pytest.approx(np.clip(ridge, -4, 4), abs=1e-9)


@settings(deadline=None)
@given(st.floats(-6, 6))
def test_as_many_days_as_the_prior_stands_for_are_believed_by_half(bias):
    """Three days' weight against a prior of three: Z = 1/2; two days of age take next to nothing."""
    today = np.datetime64("2027-04-12")
    found = soil_correction([today, today - 1, today - 2], [bias] * 3, today)
    weight = sum(0.5 ** (n / SEASON_HALF_LIFE_DAYS + n / AGE_HALF_LIFE_DAYS) for n in range(3))

    assert weight == pytest.approx(3, abs=0.06)
    assert found.correction_c == pytest.approx(np.clip(bias / 2, -4, 4), abs=0.03)


@settings(deadline=None)
@given(st.floats(-10, 10))
def test_many_equal_errors_come_near_that_error_within_the_limit(bias):
    every_day = [(age, bias) for age in range(400)]
    most = np.clip(bias, -LARGEST_CORRECTION_C, LARGEST_CORRECTION_C)

    found = learnt(every_day)

    assert abs(found.correction_c) <= abs(most) + 1e-12
    assert abs(found.correction_c - most) <= 0.06 * abs(bias)


@settings(deadline=None)
@given(history, errors)
def test_one_wild_reading_moves_it_by_less_than_1_6_degrees(rows, wild):
    others = [(age + 1, error) for age, error in rows]

    moved = learnt([(0, wild), *others]).correction_c - learnt(others).correction_c

    assert abs(moved) < 1.6


@settings(deadline=None)
@given(history)
def test_it_stays_within_its_limit_whatever_was_read(rows):
    assert abs(learnt(rows).correction_c) <= LARGEST_CORRECTION_C


@settings(deadline=None)
@given(st.lists(st.tuples(ages, errors), min_size=1, max_size=20), st.integers(0, 10))
def test_the_order_of_readings_does_not_matter(rows, turn):
    turned = rows[turn:] + rows[:turn]

    assert learnt(turned).correction_c == pytest.approx(learnt(rows).correction_c, abs=1e-9)


@settings(deadline=None)
@given(st.floats(0.5, LARGEST_CORRECTION_C), st.integers(2, 40))
def test_readings_that_agree_lower_the_error(bias, count):
    few, more = (learnt([(age, bias) for age in range(n)]) for n in (count, count + 1))

    assert few.error_before_c == pytest.approx(bias)
    assert more.error_after_c < few.error_after_c < bias


def test_several_readings_of_one_day_count_as_one_day():
    assert learnt([(3, 1.0), (3, 3.0)]) == learnt([(3, 2.0)])


def test_a_reading_is_not_judged_by_itself():
    """One day of +5, one of -5: left out in turn, each is corrected the wrong way."""
    found = learnt([(0, 5.0), (1, -5.0)])

    assert found.error_before_c == 5.0
    assert found.error_after_c > 5.0


def test_the_time_of_year_counts_for_more_than_age():
    last_spring, last_autumn = (abs(learnt([(age, 2.0)]).correction_c) for age in (365, 182))

    assert last_spring > 3 * last_autumn


def lifting(gathered, **fields):
    values = {
        "last_month_cd": 200.0, "first_cd": 800.0, "middle_cd": 1000.0, "last_cd": 1200.0, "waits": False,
        **fields,
    }  # fmt: skip
    return Lifting(gathered_cd=gathered, **values)


def test_no_lifting_stretches_nothing():
    assert growth_factor([]) == GrowthLearning(1.0, 0)


@settings(deadline=None)
@given(st.floats(480, 1680), st.integers(1, 30))
def test_the_stretch_lies_between_nothing_and_what_was_seen(gathered, count):
    found = growth_factor([lifting(gathered)] * count)
    seen = np.clip(gathered / 1000, *GROWTH_RANGE)

    assert found.liftings == count
    assert min(1, seen) - 1e-12 <= found.factor <= max(1, seen) + 1e-12


@settings(deadline=None)
@given(st.floats(700, 1200))
def test_four_liftings_are_believed_by_half_and_many_nearly_wholly(gathered):
    """Credibility n / (n + 4) on the logarithm: four liftings take the square root of the ratio."""
    assert growth_factor([lifting(gathered)] * 4).factor == pytest.approx((gathered / 1000) ** 0.5)
    assert growth_factor([lifting(gathered)] * 400).factor == pytest.approx(gathered / 1000, rel=0.01)


@settings(deadline=None)
@given(st.lists(st.floats(1, 4000), max_size=30))
def test_the_stretch_stays_within_its_limits(sums):
    assert GROWTH_RANGE[0] <= growth_factor([lifting(each) for each in sums]).factor <= GROWTH_RANGE[1]


@pytest.mark.parametrize(
    ("found", "weight"),
    [
        (lifting(470), 0.0),  # pulled small
        (lifting(490), 1.0),
        (lifting(1200), 1.0),
        (lifting(1300), 0.5),  # stood a while, though it is no crop to wait
        (lifting(1300, waits=True), 0.0),
        (lifting(1100, waits=True), 1.0),
        (lifting(1700), 0.0),  # stood all summer
        (lifting(1000, last_month_cd=20.0), 0.0),  # fetched out of winter ground
    ],
)
def test_a_lifting_says_as_much_as_it_can_know(found, weight):
    assert found.weight == weight


@settings(deadline=None)
@given(st.lists(st.floats(1, 4000), max_size=30))
def test_a_crop_that_waits_never_turns_out_slower(sums):
    assert growth_factor([lifting(each, waits=True) for each in sums]).factor <= 1


def test_a_crop_that_waits_may_turn_out_quicker():
    assert growth_factor([lifting(810, waits=True)] * 4).factor == pytest.approx(0.9)
