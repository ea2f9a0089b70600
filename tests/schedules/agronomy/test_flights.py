from datetime import date

import numpy as np
import pytest

from schedules.agronomy.climate import Ensemble
from schedules.agronomy.flights import CARROT_FLY, flight_indices


def steady(first, tmean_c, days=400):
    """An ensemble with one constant temperature for each member."""
    mean = np.repeat(np.array(tmean_c, dtype=float)[:, None], days, axis=1)
    return Ensemble(first, mean - 4, mean + 4, "years", len(tmean_c), 0.0, None, 0)


def test_counting_starts_on_the_first_of_march():
    window = steady(date(2026, 1, 1), [15.0])
    start = flight_indices(CARROT_FLY, window, 2026, southern=False)["start"]
    # 260 at 10 a day: 26 days, the first of March among them
    assert window.date_at(start[0]) == date(2026, 3, 26)


def test_counting_starts_on_the_first_of_september_in_the_south():
    window = steady(date(2026, 1, 1), [15.0])
    start = flight_indices(CARROT_FLY, window, 2026, southern=True)["start"]
    assert window.date_at(start[0]) == date(2026, 9, 26)


def test_each_member_flies_in_its_own_time():
    window = steady(date(2026, 3, 1), [15.0, 25.0, 5.0])
    assert flight_indices(CARROT_FLY, window, 2026, southern=False)["start"].tolist() == [25, 12, -1]


@pytest.mark.parametrize("year", [2025, 2027])
def test_a_window_without_the_first_day_of_counting_answers_never(year):
    window = steady(date(2026, 3, 2), [15.0], days=300)
    assert {tuple(each) for each in flight_indices(CARROT_FLY, window, year, False).values()} == {(-1,)}


def test_every_event_names_its_source():
    assert CARROT_FLY.sources.keys() == CARROT_FLY.events.keys()
