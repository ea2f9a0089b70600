from datetime import date
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from schedules.agronomy.climate import ClimateFault, DailyWeather, ensemble
from schedules.agronomy.climate.monthly import curve_on
from tests.schedules.agronomy.weather import MONTHLY_MEAN_C, NORMALS, by_month, by_year, record

TODAY = date(2026, 4, 10)
START = date(2026, 1, 1)


def decade(last=date(2026, 4, 9)):
    return record(date(2016, 1, 1), last, by_year)


def laid_out(observed=None, normals=NORMALS, today=TODAY, first=START, days=800):
    return ensemble(observed=observed, normals=normals, today=today, first=first, days=days)


def curve(first, days):
    return curve_on(MONTHLY_MEAN_C, np.datetime64(first) + np.arange(days))


def test_observed_days_are_the_same_in_every_member():
    window = laid_out(decade())
    past = window.index_of(TODAY)
    assert (window.tmean_c[:, :past] == 26.0).all()
    assert np.ptp(window.tmin_c[:, past], axis=0) > 0


def test_with_eight_complete_years_each_member_is_one_of_them():
    window = laid_out(decade())
    assert (window.basis, window.members) == ("years", 10)
    ahead = window.tmean_c[:, window.index_of(TODAY) :]
    assert (ahead == np.arange(16.0, 26.0)[:, None]).all()


def test_seven_complete_years_fall_back_on_normals():
    window = laid_out(record(date(2019, 1, 1), date(2026, 4, 9), by_year))
    assert (window.basis, window.members) == ("normals", 9)


def with_gaps(*lengths, days=None):
    """2018 to 2025, in 2018 gaps of the given lengths a week apart and more."""
    days = days or record(date(2018, 1, 1), date(2026, 4, 9), by_year)
    for at, length in enumerate(lengths):
        days.tmax_c[40 + 10 * at : 40 + 10 * at + length] = np.nan
    return days


def test_a_year_of_fifteen_days_missed_still_counts():
    assert laid_out(with_gaps(3, 3, 3, 3, 3)).basis == "years"
    assert laid_out(with_gaps(3, 3, 3, 3, 3, 1)).basis == "normals"


def test_a_year_with_a_gap_of_four_days_does_not_count():
    assert laid_out(with_gaps(4)).basis == "normals"


def test_a_member_bridges_the_days_that_its_year_lacks():
    window = laid_out(with_gaps(2))
    member = window.tmax_c[0, window.index_of(date(2027, 2, 9)) :][:4]
    usual = curve(date(2018, 2, 9), 4) - curve(date(2018, 2, 9), 1)
    # The day before the gap was read at 18 °C on average, 22 °C at most; the curve carries that on.
    np.testing.assert_allclose(member, 22.0 + usual * [0, 1, 1, 0], atol=1e-9)


def test_the_year_in_hand_is_never_a_member():
    window = laid_out(record(date(2017, 1, 1), date(2026, 12, 31), by_year), today=date(2026, 12, 31))
    assert window.members == 9


def test_a_leap_day_ahead_takes_the_28th_of_a_common_year():
    days = record(date(2016, 1, 1), date(2026, 4, 9), lambda dates: dates.astype(int) % 1000)
    window = laid_out(days)
    leap, eve = window.index_of(date(2028, 2, 29)), window.index_of(date(2028, 2, 28))
    stands_in = window.tmean_c[:, leap] == window.tmean_c[:, eve]
    assert stands_in.tolist() == [year not in (2016, 2020, 2024) for year in range(2016, 2026)]


def test_calendar_days_stay_in_step_with_the_member_year():
    days = record(date(2016, 1, 1), date(2026, 4, 9), by_month)
    window = laid_out(days)
    on_first_of_july = window.tmean_c[:, window.index_of(date(2027, 7, 1))]
    assert on_first_of_july.tolist() == [17.0] * 10


def test_without_weather_the_middle_member_is_the_normals_curve():
    window = laid_out(days=400)
    np.testing.assert_allclose(window.tmean_c[4], curve(START, 400))


def test_members_on_normals_stand_at_fixed_quantiles():
    window = laid_out(days=30)
    moved = window.tmean_c[:, 0] - window.tmean_c[4, 0]
    expected = [NormalDist(0, 1.3).inv_cdf(tenth / 10) for tenth in range(1, 10)]
    np.testing.assert_allclose(moved, expected, atol=1e-12)


def test_the_practice_spread_says_that_it_is_practice():
    window = laid_out()
    assert (window.spread_c, window.spread_source) == (1.3, "common practice, no published source")


def test_three_years_of_record_give_their_own_spread():
    window = laid_out(record(date(2023, 1, 1), date(2025, 12, 31), by_year))
    assert window.spread_c == pytest.approx(1.0)
    assert "year-to-year" in window.spread_source


def test_a_long_gap_before_today_is_each_members_own_and_counted():
    days = decade()
    gap = (date(2026, 2, 1) - days.first).days
    days.tmin_c[gap : gap + 5] = np.nan
    days.tmax_c[gap : gap + 5] = np.nan
    window = laid_out(days)
    at = window.index_of(date(2026, 2, 1))
    assert (window.missing_days, window.bridged_days) == (5, 0)
    assert (window.tmean_c[:, at : at + 5] == np.arange(16.0, 26.0)[:, None]).all()
    assert window.is_missing.nonzero()[0].tolist() == list(range(at, at + 5))
    assert (window.missing_between(at - 3, at + 2), window.missing_between(-5, at)) == (2, 0)


def test_what_was_read_in_a_long_gap_stays_and_is_never_crossed():
    days = decade()
    gap = (date(2026, 2, 1) - days.first).days
    days.tmin_c[gap : gap + 5] = np.nan
    days.tmax_c[gap : gap + 5] = 12.5
    window = laid_out(days)
    at = window.index_of(date(2026, 2, 1))
    assert window.missing_days == 5
    assert (window.tmax_c[:, at : at + 5] == 12.5).all()
    assert window.tmin_c[:, at].tolist() == [12.0, *[12.5] * 9]


@pytest.mark.parametrize("length", [1, 2, 3])
def test_a_short_gap_is_bridged_from_the_day_before_and_counted(length):
    days = decade()
    gap = (date(2026, 2, 1) - days.first).days
    days.tmin_c[gap : gap + length] = np.nan
    days.tmax_c[gap : gap + length] = np.nan
    window = laid_out(days)
    at = window.index_of(date(2026, 2, 1))
    usual = curve(date(2026, 1, 31), length + 1)
    assert (window.missing_days, window.bridged_days) == (0, length)
    expected = 26.0 + usual[1:] - usual[0]
    np.testing.assert_allclose(window.tmean_c[:, at : at + length], np.tile(expected, (10, 1)))


def test_a_record_that_stopped_three_days_ago_is_bridged():
    window = laid_out(decade(last=date(2026, 4, 6)))
    assert (window.observed_until, window.missing_days, window.bridged_days) == (date(2026, 4, 6), 0, 3)


def test_a_bridged_minimum_stays_under_the_maximum_that_was_read():
    days = decade()
    gap = (date(2026, 2, 1) - days.first).days
    days.tmin_c[gap] = np.nan
    days.tmax_c[gap] = 3.0
    window = laid_out(days)
    at = window.index_of(date(2026, 2, 1))
    assert (window.tmin_c[0, at], window.tmax_c[0, at]) == (3.0, 3.0)


@settings(deadline=None)
@given(
    begin=st.integers(2900, 3700),
    length=st.integers(1, 40),
    is_whole=st.booleans(),
    tmin_c=st.floats(5.0, 30.0),
)
def test_a_gap_never_counts_as_no_warmth_and_no_rain(begin, length, is_whole, tmin_c):
    """In a record never under 5 °C and never dry, neither zero can stand anywhere in the window."""
    days = record(date(2016, 1, 1), date(2026, 4, 9), lambda dates: np.full(dates.size, tmin_c + 4.0))
    for series in (days.tmin_c, days.tmax_c, days.rain_mm) if is_whole else (days.tmin_c, days.rain_mm):
        series[begin : begin + length] = np.nan
    window = laid_out(days, normals=None, first=date(2023, 11, 1), days=1500)
    assert window.tmin_c.min() == pytest.approx(tmin_c)
    assert window.rain_mm.min() == 2.0
    inside = min(begin + length, days.tmin_c.size) - begin
    assert window.missing_days + window.bridged_days == max(inside, 0)
    assert window.rain_missing_days == window.missing_days + window.bridged_days


def test_a_record_that_stopped_short_is_filled_up_to_today():
    window = laid_out(decade(last=date(2026, 4, 4)))
    assert (window.observed_until, window.missing_days) == (date(2026, 4, 4), 5)


def test_every_day_before_today_is_missing_when_nothing_was_observed():
    window = laid_out()
    assert (window.observed_until, window.missing_days) == (None, 99)


def test_rows_from_today_on_change_nothing():
    known, told = decade(), decade(last=date(2026, 12, 31))
    told.tmin_c[known.tmin_c.size :] = 39.0
    told.tmax_c[known.tmax_c.size :] = 40.0
    np.testing.assert_array_equal(laid_out(told).tmin_c, laid_out(known).tmin_c)
    assert laid_out(told).observed_until == date(2026, 4, 9)


def test_a_record_wholly_ahead_serves_as_climate_only():
    ahead = record(date(2026, 5, 1), date(2027, 4, 30), by_month)
    window = laid_out(ahead, normals=None)
    assert (window.basis, window.observed_until, window.missing_days) == ("normals", None, 99)
    np.testing.assert_allclose(window.tmean_c[4], curve(START, 800))


def test_a_record_without_a_single_whole_day_is_no_observation():
    unknown = np.full(50, np.nan)
    empty = DailyWeather(START, unknown, unknown, unknown, unknown)
    assert laid_out(empty).observed_until is None


def test_normals_are_averaged_from_the_record_when_none_are_given():
    window = laid_out(record(date(2024, 1, 1), date(2025, 12, 31), by_month), normals=None)
    np.testing.assert_allclose(window.tmean_c[4], curve(START, 800))


def test_neither_weather_nor_normals_is_refused_with_a_remedy():
    with pytest.raises(ClimateFault, match="add twelve monthly normals"):
        laid_out(normals=None)


def test_a_window_of_no_days_is_refused():
    with pytest.raises(ClimateFault, match="at least 1"):
        laid_out(days=0)


def test_the_window_may_start_before_the_record():
    window = laid_out(record(date(2026, 3, 1), date(2026, 4, 9), by_year))
    assert window.missing_days == (date(2026, 3, 1) - START).days
    assert window.tmean_c[:, window.index_of(date(2026, 3, 1))].tolist() == [26.0] * 9


def test_no_member_is_colder_at_most_than_at_least():
    window = laid_out(decade())
    assert (window.tmin_c <= window.tmax_c).all()


def test_days_and_indices_are_inverse():
    window = laid_out(days=10)
    assert window.date_at(window.index_of(date(2026, 1, 7))) == date(2026, 1, 7)
