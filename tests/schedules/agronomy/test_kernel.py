"""The kernel against the definition, added up day by day."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.agronomy.kernel import EndToEnd, end_to_end, reached_days, running_sums


def laid(amounts: np.ndarray) -> EndToEnd:
    return end_to_end(running_sums(amounts))


def by_hand(amounts: np.ndarray, start: int, total: float) -> int:
    """The first day on which the amounts from ``start`` on come to the total; the number of days if none."""
    gathered = 0.0
    for day in range(start, amounts.size):
        gathered += amounts[day]
        if gathered >= total - 1e-6:
            return day
    return amounts.size


@given(
    seed=st.integers(0, 2**32 - 1),
    members=st.integers(1, 6),
    days=st.integers(1, 60),
    total=st.floats(0.1, 400.0),
)
def test_every_member_is_found_on_its_own_day(seed: int, members: int, days: int, total: float) -> None:
    dice = np.random.default_rng(seed)
    amounts = np.where(dice.random((members, days)) < 0.3, 0.0, dice.uniform(0, 12, (members, days)))
    starts = dice.integers(0, days + 1, (3, members))
    totals = np.array([total, total / 2])
    found = reached_days(laid(amounts), starts, totals)
    expected = [
        [[by_hand(amounts[m], int(starts[n, m]), float(each)) for m in range(members)] for each in totals]
        for n in range(3)
    ]
    assert found.tolist() == expected


def test_ten_days_of_ten_degrees_come_to_a_hundred_on_the_tenth() -> None:
    found = reached_days(laid(np.full((1, 20), 10.0)), np.array([[0], [5]]), np.array([100.0]))
    assert found.ravel().tolist() == [9, 14]


def test_a_sum_that_is_reached_to_the_last_digit_does_not_wait_a_day() -> None:
    sums = laid(np.full((1, 30), 0.1))  # ten times a tenth is a little less than one to a computer
    assert reached_days(sums, np.array([[0]]), np.array([1.0])).item() == 9


def test_a_start_outside_the_days_is_refused() -> None:
    with pytest.raises(ValueError, match="starts"):
        reached_days(laid(np.ones((1, 3))), np.array([[4]]), np.array([1.0]))


def test_a_total_past_all_reason_is_refused() -> None:
    with pytest.raises(ValueError, match="totals"):
        reached_days(laid(np.ones((2, 3))), np.array([[0, 0]]), np.array([1e6]))
