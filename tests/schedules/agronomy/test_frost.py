from datetime import date, timedelta

import numpy as np
import pytest

from schedules.agronomy.climate import DailyWeather
from schedules.agronomy.frost import first_frost, frost_record, last_frost

MILD = 5.0


def record(first: date, last: date, frosts, *, unknown=(), around_c=MILD) -> DailyWeather:
    days = (last - first).days + 1
    lows = np.full(days, around_c)
    for day in frosts:
        lows[(day - first).days] = -1.0
    for day in unknown:
        lows[(day - first).days] = np.nan
    nothing = np.full(days, np.nan)
    return DailyWeather(first, lows, nothing, nothing, nothing)


def year_of(*frosts, **changes):
    weather = record(date(2025, 1, 1), date(2025, 12, 31), frosts, **changes)
    return frost_record(weather, southern=False)


def test_each_member_has_its_own_last_and_first_frost():
    lows = np.array([[-1.0, 3.0, -1.0, 3.0, 3.0], [3.0, 3.0, 3.0, 3.0, 3.0], [3.0, -1.0, 3.0, 3.0, 0.0]])
    assert last_frost(lows, 0, 5).tolist() == [2, -1, 4]
    assert first_frost(lows, 0, 5).tolist() == [0, -1, 1]


def test_the_stop_is_not_looked_at_and_the_span_is_cut_to_the_days_there_are():
    lows = np.array([[-1.0, 3.0, -1.0]])
    assert last_frost(lows, 0, 2).tolist() == [0]
    assert first_frost(lows, 1, 99).tolist() == [2]
    assert last_frost(lows, -5, 99).tolist() == [2]
    assert last_frost(lows, 2, 2).tolist() == [-1]


def test_nought_is_a_frost_and_a_tenth_above_is_none():
    assert last_frost(np.array([[0.0]]), 0, 1).tolist() == [0]
    assert last_frost(np.array([[0.1]]), 0, 1).tolist() == [-1]


def test_an_unknown_night_is_not_one_without_frost():
    with pytest.raises(ValueError, match="tmin_c"):
        last_frost(np.array([[3.0, np.nan]]), 0, 2)
    assert last_frost(np.array([[3.0, np.nan]]), 0, 1).tolist() == [-1]


def test_the_year_is_parted_at_midsummer():
    found = year_of(date(2025, 4, 20), date(2025, 6, 30), date(2025, 7, 1), date(2025, 10, 30))
    assert found.spring.on(2025) == date(2025, 6, 30)
    assert found.autumn.on(2025) == date(2025, 7, 1)


def test_southern_springs_run_from_july():
    weather = record(date(2024, 7, 1), date(2025, 6, 30), [date(2024, 9, 10), date(2025, 4, 25)])
    found = frost_record(weather, southern=True)
    assert found.spring.on(2024) == date(2024, 9, 10)
    assert found.autumn.on(2025) == date(2025, 4, 25)
    # 11 September to 24 April, both included.
    assert found.freeze_free.days.tolist() == [(date(2025, 4, 25) - date(2024, 9, 11)).days]


def test_both_hemispheres_are_mirror_images():
    north = record(date(2025, 1, 1), date(2025, 12, 31), [date(2025, 4, 1), date(2025, 10, 1)])
    shift = timedelta(days=181)
    south = record(date(2025, 7, 1), date(2026, 6, 30), [date(2025, 4, 1) + shift, date(2025, 10, 1) + shift])
    lengths = [
        frost_record(north, southern=False).freeze_free.days,
        frost_record(south, southern=True).freeze_free.days,
    ]
    assert lengths[0].tolist() == lengths[1].tolist()


def test_years_without_frost_are_kept_as_a_share():
    frosty = [date(2023, 3, 1), date(2024, 3, 11)]
    weather = record(date(2023, 1, 1), date(2026, 12, 31), frosty)
    spring = frost_record(weather, southern=False).spring
    assert spring.share_without == 0.5
    assert spring.on(2025) is None
    assert spring.percentiles((0, 50, 100)).tolist() == [60.0, 65.5, 71.0]  # 2024 is a leap year
    assert spring.odds_after(65) == 0.25
    assert spring.odds_before(65) == 0.25


def test_without_any_frost_there_are_no_percentiles():
    assert np.isnan(year_of().spring.percentiles()).all()
    assert year_of().freeze_free.is_at_least.tolist() == [True]
    assert year_of().freeze_free.days.tolist() == [365.0]


def test_a_half_year_that_breaks_off_is_not_counted():
    weather = record(date(2025, 1, 1), date(2025, 11, 30), [date(2025, 4, 1), date(2025, 11, 1)])
    found = frost_record(weather, southern=False)
    assert found.spring.years.tolist() == [2025]
    assert found.autumn.years.tolist() == []
    with pytest.raises(KeyError):
        found.autumn.on(2025)


def test_a_gap_beyond_the_frost_from_midsummer_does_no_harm():
    found = year_of(date(2025, 4, 20), unknown=[date(2025, 1, 5)])
    assert found.spring.on(2025) == date(2025, 4, 20)


def test_a_gap_between_frost_and_midsummer_could_hide_one():
    found = year_of(date(2025, 4, 20), unknown=[date(2025, 5, 5)])
    assert found.spring.years.tolist() == []


def test_a_night_missed_between_mild_ones_is_taken_for_mild():
    found = year_of(date(2025, 4, 20), unknown=[date(2025, 5, 5), date(2025, 5, 6)], around_c=9.0)
    assert found.spring.on(2025) == date(2025, 4, 20)
    four = [date(2025, 5, day) for day in range(5, 9)]
    assert year_of(date(2025, 4, 20), unknown=four, around_c=9.0).spring.years.tolist() == []


def test_percentiles_are_straight_between_ranks():
    """Ten last frosts worked by hand: position 0.9 of 9 steps gives 8.1, between 128 and 131."""
    days = [118, 102, 125, 131, 110, 97, 122, 128, 115, 112]
    frosts = [date(2001 + 4 * n, 1, 1) + timedelta(days=day - 1) for n, day in enumerate(days)]
    weather = record(date(2001, 1, 1), date(2037, 12, 31), frosts)
    spring = frost_record(weather, southern=False).spring
    assert spring.share_without == pytest.approx(27 / 37)
    np.testing.assert_allclose(spring.percentiles(), [101.5, 116.5, 128.3])
