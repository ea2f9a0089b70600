from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from schedules.agronomy.climate import ClimateFault, daily_curve, normals_of, year_to_year_spread_c
from schedules.agronomy.climate.monthly import MONTH_DAYS, curve_on
from tests.schedules.agronomy.weather import MONTHLY_MEAN_C, by_month, by_year, record

twelve = arrays(float, 12, elements=st.floats(-40, 40))


def monthly_means(curve, leap=False):
    lengths = np.array(MONTH_DAYS) + (np.arange(12) == 1) * leap
    return [each.mean() for each in np.split(curve, np.cumsum(lengths)[:-1])]


@given(months=twelve, leap=st.booleans())
def test_every_month_keeps_its_mean(months, leap):
    np.testing.assert_allclose(monthly_means(daily_curve(months, leap=leap), leap), months, atol=1e-9)


def test_twelve_equal_months_draw_a_level_line():
    assert daily_curve(np.full(12, 9.5)) == pytest.approx(9.5)


def test_the_curve_closes_on_itself_without_a_step():
    curve = daily_curve(MONTHLY_MEAN_C)
    steps = np.abs(np.diff(curve, append=curve[0]))
    assert steps.max() < 0.2


def test_a_missing_month_is_refused():
    with pytest.raises(ClimateFault, match="twelve finite"):
        daily_curve(np.append(np.zeros(11), np.nan))


def test_a_leap_february_keeps_its_mean_on_the_calendar():
    dates = np.arange("2027-01-01", "2029-01-01", dtype="datetime64[D]")
    february = dates.astype("datetime64[M]") == np.datetime64("2028-02")
    assert february.sum() == 29
    assert curve_on(MONTHLY_MEAN_C, dates)[february].mean() == pytest.approx(MONTHLY_MEAN_C[1], abs=0.01)


def test_normals_are_the_monthly_means():
    normals = normals_of(record(date(2020, 1, 1), date(2022, 12, 31), by_month))
    np.testing.assert_allclose((normals.tmin_c + normals.tmax_c) / 2, MONTHLY_MEAN_C)


def test_rain_is_a_monthly_total_and_wind_a_mean():
    normals = normals_of(record(date(2021, 1, 1), date(2021, 12, 31), by_month))
    assert normals.rain_mm.tolist() == [2.0 * days for days in MONTH_DAYS]
    assert normals.wind_ms == pytest.approx(3.0)


def test_rain_never_observed_is_unknown_not_dry():
    days = record(date(2021, 1, 1), date(2021, 12, 31), by_month)
    days.rain_mm[:] = np.nan
    assert np.isnan(normals_of(days).rain_mm).all()


def test_each_year_weighs_the_same_in_a_normal():
    days = record(date(2020, 1, 1), date(2021, 12, 31), by_year)
    days.tmin_c[:8] = np.nan  # eight days of January 2020
    assert normals_of(days).tmin_c[0] == pytest.approx(20.5 - 4)


def test_a_record_without_a_month_names_the_month():
    with pytest.raises(ClimateFault, match="October, November, December"):
        normals_of(record(date(2021, 1, 1), date(2021, 9, 30), by_month))


def test_nine_days_do_not_make_a_month():
    days = record(date(2021, 1, 1), date(2021, 12, 31), by_month)
    days.tmax_c[:22] = np.nan
    with pytest.raises(ClimateFault, match="no year has 10 days of tmin_c and tmax_c in January;"):
        normals_of(days)


def test_ten_days_make_a_month_only_where_no_year_has_twenty():
    one = record(date(2021, 1, 1), date(2021, 12, 31), by_month)
    one.tmin_c[:21], one.tmax_c[:21] = np.nan, np.nan
    assert normals_of(one).tmin_c[0] == pytest.approx(MONTHLY_MEAN_C[0] - 4)
    two = record(date(2021, 1, 1), date(2022, 12, 31), by_year)
    two.tmin_c[:21] = np.nan
    assert normals_of(two).tmin_c[0] == 22 - 4


def test_the_spread_is_the_deviation_between_years():
    days = record(date(2020, 1, 1), date(2022, 12, 31), by_year)
    assert year_to_year_spread_c(days) == pytest.approx(1.0)  # 20, 21 and 22 °C: sample deviation 1


def test_two_years_tell_no_spread():
    assert year_to_year_spread_c(record(date(2021, 1, 1), date(2022, 12, 31), by_year)) is None
