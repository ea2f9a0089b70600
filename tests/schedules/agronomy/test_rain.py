from datetime import date

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from schedules.agronomy.climate import Normals, ensemble
from schedules.agronomy.climate.rain import RAIN_PATTERN, RAIN_UNKNOWN, RAIN_YEARS, rain_pattern
from tests.schedules.agronomy.weather import MONTHLY_MEAN_C, NORMALS, UNKNOWN, by_month, by_year, record

TODAY = date(2026, 4, 10)
RAIN_MM = np.array([60.0, 45, 48, 50, 52, 56, 54, 58, 57, 66, 64, 63])
WET_NORMALS = Normals(MONTHLY_MEAN_C - 4, MONTHLY_MEAN_C + 4, RAIN_MM, UNKNOWN)


def laid_out(observed=None, normals=WET_NORMALS, first=date(2026, 1, 1), days=800):
    return ensemble(observed=observed, normals=normals, today=TODAY, first=first, days=days)


def days_of(first, last):
    return np.arange(np.datetime64(first), np.datetime64(last) + 1)


def monthly_sums(rain, dates):
    months = dates.astype("datetime64[M]").astype(int)
    return np.stack([rain[:, months == month].sum(axis=1) for month in np.unique(months)], axis=1)


@settings(deadline=None)
@given(totals=arrays(float, 12, elements=st.floats(0, 900)), members=st.integers(1, 12))
def test_every_member_keeps_every_months_total(totals, members):
    dates = days_of("2027-01-01", "2028-12-31")
    rain = rain_pattern(totals, dates, members)
    assert (rain >= 0).all()
    np.testing.assert_allclose(monthly_sums(rain, dates), np.tile(np.tile(totals, 2), (members, 1)))


@settings(deadline=None)
@given(offset=st.integers(0, 400), days=st.integers(1, 500))
def test_a_date_has_the_same_rain_in_every_window(offset, days):
    dates = days_of("2027-01-01", "2029-12-31")
    whole = rain_pattern(RAIN_MM, dates, 9)
    part = rain_pattern(RAIN_MM, dates[offset : offset + days], 9)
    np.testing.assert_array_equal(part, whole[:, offset : offset + days])


def test_members_are_out_of_step():
    rain = rain_pattern(RAIN_MM, days_of("2027-01-01", "2027-12-31"), 9)
    is_wet = rain > 0
    assert len({row.tobytes() for row in is_wet}) == 9
    shared = [(is_wet[a] & is_wet[b]).mean() for a in range(9) for b in range(a)]
    assert np.mean(shared) == pytest.approx(is_wet.mean() ** 2, abs=0.03)


def test_soil_gets_its_dry_spells():
    """A drizzle of 2 mm a day would have none; a fortnight without rain comes in most temperate years."""
    rain = rain_pattern(RAIN_MM, days_of("2027-01-01", "2036-12-31"), 9)
    longest = [
        max(len(run) for run in "".join("w" if wet else "d" for wet in row).split("w")) for row in rain > 0
    ]
    assert min(longest) >= 14


def test_a_wet_day_is_about_a_quarter_likelier_after_a_wet_one():
    """Geng, Penning de Vries and Supit 1986, from memory: 0.25."""
    is_wet = rain_pattern(RAIN_MM, days_of("2020-01-01", "2039-12-31"), 9) > 0
    before, after = is_wet[:, :-1], is_wet[:, 1:]
    assert after[before].mean() - after[~before].mean() == pytest.approx(0.25, abs=0.05)


def test_a_rainless_month_is_dry():
    totals = np.where(np.arange(12) == 6, 0.0, RAIN_MM)
    dates = days_of("2027-07-01", "2027-07-31")
    assert not rain_pattern(totals, dates, 9).any()


def test_nothing_known_of_rain_is_unknown_everywhere():
    window = laid_out(normals=NORMALS)
    assert np.isnan(window.rain_mm).all()
    assert (window.knows_rain, window.rain_source, window.rain_missing_days) == (False, RAIN_UNKNOWN, 0)


def test_monthly_rain_is_laid_out_and_every_day_before_today_counted():
    window = laid_out()
    assert window.knows_rain
    assert np.isfinite(window.rain_mm).all()
    assert (window.rain_source, window.rain_missing_days) == (RAIN_PATTERN, 99)


def test_a_years_member_has_that_years_rain_on_that_day():
    days = record(date(2016, 1, 1), date(2026, 4, 9), by_year)
    days.rain_mm[:] = by_year(days.dates) + by_month(days.dates) / 100
    window = laid_out(days)
    assert (window.basis, window.rain_source) == ("years", RAIN_YEARS)
    july = window.rain_mm[:, window.index_of(date(2027, 7, 1))]
    np.testing.assert_allclose(july, np.arange(16.0, 26.0) + 0.17)


def test_rain_observed_before_today_is_the_same_in_every_member():
    days = record(date(2026, 1, 1), date(2026, 4, 9), by_month)
    days.rain_mm[:] = np.arange(99) / 10
    days.rain_mm[[20, 21]] = np.nan
    window = laid_out(days)
    known = np.delete(np.arange(99), [20, 21])
    np.testing.assert_array_equal(window.rain_mm[:, known], np.tile(known / 10, (9, 1)))
    np.testing.assert_array_equal(window.rain_mm[:, 20:22], laid_out().rain_mm[:, 20:22])
    assert (window.rain_missing_days, window.missing_days, window.bridged_days) == (2, 0, 0)


def test_a_year_without_a_rain_gauge_borrows_from_years_with_one():
    days = record(date(2016, 1, 1), date(2026, 4, 9), by_year)
    days.rain_mm[:] = by_year(days.dates)
    days.rain_mm[by_year(days.dates) == 20] = np.nan
    window = laid_out(days)
    ahead = window.rain_mm[:, window.index_of(TODAY) :]
    assert (ahead[4] == ahead[4, 0]).all()
    assert ahead[4, 0] in [*range(16, 20), *range(21, 26)]


def test_too_few_years_of_rain_fall_back_on_monthly_totals():
    days = record(date(2016, 1, 1), date(2026, 4, 9), by_year)
    days.rain_mm[by_year(days.dates) < 19] = np.nan
    assert laid_out(days).rain_source == RAIN_PATTERN
    assert np.isfinite(laid_out(days, normals=None).rain_mm).all()


def test_a_forecast_is_the_same_in_every_member_for_ten_days():
    forecast = record(date(2026, 4, 8), date(2026, 4, 30), lambda dates: np.full(dates.size, 30.0))
    window = ensemble(
        observed=None, normals=WET_NORMALS, today=TODAY, first=date(2026, 4, 1), days=60, forecast=forecast
    )
    plain = laid_out(first=date(2026, 4, 1), days=60)
    at = window.index_of(TODAY)
    assert window.forecast_until == date(2026, 4, 19)
    assert (window.tmean_c[:, at : at + 10] == 30.0).all()
    assert (window.rain_mm[:, at : at + 10] == 2.0).all()
    for series in ("tmin_c", "tmax_c", "rain_mm"):
        told, usual = getattr(window, series), getattr(plain, series)
        np.testing.assert_array_equal(
            np.delete(told, range(at, at + 10), 1), np.delete(usual, range(at, at + 10), 1)
        )
    assert (window.observed_until, plain.forecast_until) == (None, None)


def test_a_forecast_says_nothing_of_a_day_it_lacks():
    forecast = record(TODAY, date(2026, 4, 14), lambda dates: np.full(dates.size, 30.0))
    forecast.tmax_c[2] = np.nan
    window = ensemble(
        observed=None, normals=WET_NORMALS, today=TODAY, first=TODAY, days=30, forecast=forecast
    )
    assert np.ptp(window.tmin_c[:, 2]) > 0
    assert window.forecast_until == date(2026, 4, 14)
