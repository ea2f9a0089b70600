from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.agronomy.climate import Ensemble
from schedules.agronomy.flights import CARROT_FLY, MODELS, first_day, flight_indices, pause_share
from schedules.agronomy.kernel import running_sums
from schedules.agronomy.warmth import degree_days_of


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


def test_each_event_counts_from_its_own_day_and_base():
    window = steady(date(2026, 1, 1), [14.0])
    found = flight_indices(MODELS["cabbage-root-fly"], window, 2026, southern=False)
    # 230 at 10 a day above 4 °C from 1 February: 23 days; 820 at 7.9 above 6.1 from 1 April: 104 days.
    assert window.date_at(found["start"][0]) == date(2026, 2, 23)
    assert window.date_at(found["second"][0]) == date(2026, 7, 13)


def test_warmth_past_the_upper_limit_does_not_count():
    window = steady(date(2026, 1, 1), [28.9, 40.0])
    found = flight_indices(MODELS["bean-seed-fly"], window, 2026, southern=False)["busiest"]
    assert found.tolist() == [7, 7]  # 200 at 25 a day: the eighth day


def test_half_a_year_on_in_the_south():
    window = steady(date(2026, 1, 1), [14.0], days=700)
    for model in MODELS.values():
        for name, event in model.events.items():
            start = first_day(event, 2026, southern=True)
            assert start == date(2026, event.starts[0] + 6, event.starts[1]), name
    found = flight_indices(MODELS["cabbage-root-fly"], window, 2026, southern=True)
    assert window.date_at(found["start"][0]) == date(2026, 8, 23)


def test_what_the_year_does_not_reach_belongs_to_no_flight():
    window = steady(date(2026, 1, 1), [9.0], days=700)
    found = flight_indices(CARROT_FLY, window, 2026, southern=False)
    assert found["over"][0] == 59 + 139  # 560 at 4 a day: the 140th day
    assert found["second"].tolist() == [59 + 287]  # 14 December
    assert found["third"].tolist() == [-1]


@given(warmer_c=st.floats(0.0, 6.0), seed=st.integers(0, 99))
def test_no_flight_is_later_when_every_day_is_warmer(warmer_c, seed):
    days = np.random.default_rng(seed).normal(9.0, 5.0, (3, 400))
    cool, warm = (
        Ensemble(date(2026, 1, 1), mean - 4, mean + 4, basis, 3, 1.3, None, 0)
        for mean, basis in ((days, "years"), (days + warmer_c, "years"))
    )
    for model in MODELS.values():
        before, after = (flight_indices(model, each, 2026, southern=False) for each in (cool, warm))
        for event in model.events:
            came = before[event] >= 0
            assert (after[event][came] >= 0).all()
            assert (after[event][came] <= before[event][came]).all()


def test_kept_sums_are_used_where_they_are_handed_in():
    window, asked = steady(date(2026, 1, 1), [15.0]), []

    def sums(base_c, upper_c):
        asked.append((base_c, upper_c))
        return running_sums(degree_days_of(window, base_c, upper_c))

    assert flight_indices(CARROT_FLY, window, 2026, False, sums)["start"].tolist() == [84]
    assert set(asked) == {(5.0, None)}


def test_pupae_pause_only_in_soil_hot_for_days_on_end():
    soil = np.full((4, 60), 18.0)
    soil[0, 30:34] = 24.0
    soil[1, [30, 32, 34, 36]] = 26.0
    soil[2, 2:10] = 26.0
    soil[3, 30:40] = 26.0
    begin, stop = np.array([20, 20, 20, -1]), np.array([50, 50, 50, -1])
    assert pause_share(soil, begin, stop) == 0.25
