"""Cold counted towards flowering, and sums between each member's own days."""

import numpy as np
import pytest

from schedules.agronomy.bolting import summed_between, vernal_rate_cd


def test_cold_counts_most_at_the_best_and_nothing_outside():
    rates = vernal_rate_cd([-5.0, -1.0, 2.0, 6.5, 11.25, 16.0, 20.0], -1.0, 6.5, 16.0)
    assert rates.tolist() == pytest.approx([0, 0, 3, 7.5, 3.75, 0, 0])


def test_unknown_weather_gives_unknown_cold():
    assert np.isnan(vernal_rate_cd([np.nan], -1.0, 6.5, 16.0)).all()


@pytest.mark.parametrize("limits", [(6.5, -1.0, 16.0), (-1.0, 16.0, 6.5), (5.0, 5.0, 16.0)])
def test_temperatures_that_do_not_rise_are_refused(limits):
    with pytest.raises(ValueError, match="must rise"):
        vernal_rate_cd([5.0], *limits)


def test_each_member_adds_up_its_own_days():
    daily = np.array([[1.0, 2.0, 3.0, 4.0], [10.0, 20.0, 30.0, 40.0]])
    assert summed_between(daily, [0, 2], [2, 4]).tolist() == [3.0, 70.0]


def test_days_outside_the_weather_count_nothing():
    daily = np.ones((3, 4))
    assert summed_between(daily, [-2, 3, 9], [2, 99, 12]).tolist() == [2.0, 1.0, 0.0]


def test_an_end_before_the_start_counts_nothing():
    assert summed_between(np.ones((1, 4)), [3], [1]).tolist() == [0.0]


def test_days_that_all_members_share_are_counted_for_each():
    assert summed_between(np.array([True, True, False, True]), [0, 1], [4, 4]).tolist() == [3.0, 2.0]
