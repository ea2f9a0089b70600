import numpy as np
import pytest

from schedules.agronomy.soil_temperature import (
    COVER_WARMTH_C,
    COVER_WARMTH_SOURCE,
    running_mean,
    soil_temperature_c,
)


@pytest.fixture
def air_c():
    return np.random.default_rng(3).normal(9, 5, (4, 150))


def one_day_at_a_time(air_c, start_c, warming, cooling):
    """The recursion written out, to check the quick ways of running it."""
    smooth, soil, today = running_mean(air_c), [], start_c
    for mean in smooth:
        today = today + (mean - today) * (warming if mean > today else cooling)
        soil.append(today)
    return soil


def test_the_running_mean_starts_on_the_days_there_are():
    assert running_mean([3.0, 6.0, 9.0, 12.0], days=3).tolist() == [3.0, 4.5, 6.0, 9.0]


def test_a_gap_empties_every_mean_that_holds_it():
    means = running_mean([1.0, np.nan, 3.0, 4.0, 5.0, 6.0], days=3)
    assert np.isnan(means).tolist() == [False, True, True, True, False, False]


def test_a_running_mean_of_no_days_is_refused():
    with pytest.raises(ValueError, match="at least 1"):
        running_mean([1.0], days=0)


def test_constant_air_gives_constant_soil():
    assert soil_temperature_c(np.full((2, 90), 11.3)) == pytest.approx(11.3)


def test_bare_soil_follows_the_recursion(air_c):
    soil = soil_temperature_c(air_c, start_c=6.0)
    expected = [one_day_at_a_time(each, 6.0, 0.25, 0.25) for each in air_c]
    np.testing.assert_allclose(soil, expected, atol=1e-10)


def test_soil_under_leaves_warms_slowly_and_cools_freely(air_c):
    soil = soil_temperature_c(air_c, start_c=6.0, leaf_area=1.5)
    warming = 0.25 * np.exp(-0.45 * 1.5)
    expected = [one_day_at_a_time(each, 6.0, warming, 0.25) for each in air_c]
    np.testing.assert_allclose(soil, expected, atol=1e-10)


def test_snow_slows_both_ways(air_c):
    soil = soil_temperature_c(air_c, start_c=6.0, snow=True)
    expected = [one_day_at_a_time(each, 6.0, 0.1, 0.1) for each in air_c]
    np.testing.assert_allclose(soil, expected, atol=1e-10)


def test_each_member_may_start_from_its_own_soil(air_c):
    together = soil_temperature_c(air_c, start_c=[2.0, 4.0, 6.0, 8.0])
    np.testing.assert_allclose(together[3], soil_temperature_c(air_c[3], start_c=8.0))


def test_one_member_alone_is_the_same_as_among_others(air_c):
    np.testing.assert_allclose(soil_temperature_c(air_c)[2], soil_temperature_c(air_c[2]))


@pytest.mark.parametrize("leaf_area", [0.0, 1.0])
def test_soil_is_unknown_from_a_gap_on(air_c, leaf_area):
    air_c[1, 40] = np.nan
    soil = soil_temperature_c(air_c, start_c=5.0, leaf_area=leaf_area)
    assert np.isnan(soil[1]).tolist() == [False] * 40 + [True] * 110
    assert not np.isnan(soil[[0, 2, 3]]).any()


def test_soil_swings_less_than_air(air_c):
    assert np.ptp(soil_temperature_c(air_c)) < np.ptp(air_c)


def test_a_negative_leaf_area_is_refused():
    with pytest.raises(ValueError, match="leaf_area"):
        soil_temperature_c([5.0], leaf_area=-1)


def test_every_cover_says_where_its_warmth_comes_from():
    assert COVER_WARMTH_C.keys() == COVER_WARMTH_SOURCE.keys()
    assert all(COVER_WARMTH_SOURCE.values())


def test_covers_add_the_agreed_degrees():
    assert COVER_WARMTH_C == {"none": 0, "mesh": 0, "fleece": 1, "black": 1.5, "film": 2, "clear": 4}
