from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.planner import Window
from schedules.planner.windows import Span, percentile


def test_a_window_refuses_dates_that_run_backwards():
    with pytest.raises(ValueError, match="from <= best <= by"):
        Window(date(2027, 3, 2), date(2027, 3, 1), date(2027, 3, 3))


def test_a_span_takes_the_20th_50th_and_80th_percentile():
    assert Span.over(np.arange(101.0)) == (20, 50, 80)


def test_a_percentile_is_rounded_to_a_whole_day_halves_up():
    assert percentile(np.array([1.0, 2.0]), 50) == 2


def test_a_span_of_three_sets_never_runs_backwards():
    later, earlier = np.full(9, 40.0), np.full(9, 30.0)
    assert Span.over(later, earlier, earlier) == (40, 40, 40)


def test_a_span_follows_another_date_by_date():
    assert Span(1, 20, 30).after(Span(5, 6, 40), gap=2) == (7, 20, 42)


def test_a_span_becomes_dates():
    assert Span(0, 1, 31).dates(date(2027, 1, 1)) == Window(
        date(2027, 1, 1), date(2027, 1, 2), date(2027, 2, 1)
    )


@given(st.lists(st.integers(0, 900).map(float), min_size=1, max_size=40), st.sampled_from([10, 20, 50, 80]))
def test_a_percentile_is_the_usual_one(days, pct):
    assert abs(percentile(np.array(days), pct) - np.percentile(days, pct)) <= 0.5 + 1e-9
