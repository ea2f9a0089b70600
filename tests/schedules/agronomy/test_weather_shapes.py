from datetime import date

import numpy as np
import pytest

from schedules.agronomy.climate import ClimateFault, DailyWeather, Normals

NONE_KNOWN = np.full(12, np.nan)


def days(tmin_c, tmax_c):
    unknown = np.full(len(tmin_c), np.nan)
    return DailyWeather(date(2026, 5, 1), np.array(tmin_c), np.array(tmax_c), unknown, unknown)


def test_a_day_colder_at_most_than_at_least_is_refused_by_date():
    with pytest.raises(ClimateFault, match="on 2026-05-02 tmin_c is above tmax_c"):
        days([4.0, 12.0], [9.0, 11.0])


def test_arrays_of_unequal_length_are_refused():
    with pytest.raises(ClimateFault, match="tmax_c"):
        days([4.0, 5.0], [9.0])


def test_a_day_is_whole_only_with_both_temperatures():
    assert days([4.0, np.nan, 5.0], [9.0, 9.0, np.nan]).whole.tolist() == [True, False, False]


def test_the_record_before_a_day_leaves_that_day_out():
    record = days([4.0, 5.0, 6.0], [9.0, 9.0, 9.0])
    assert record.before(date(2026, 5, 3)).tmin_c.tolist() == [4.0, 5.0]
    assert record.before(date(2026, 4, 1)).tmin_c.size == 0
    assert record.before(date(2027, 1, 1)).tmin_c.size == 3


def test_eleven_normals_are_refused():
    with pytest.raises(ClimateFault, match="tmin_c must hold twelve"):
        Normals(np.zeros(11), np.ones(12), NONE_KNOWN, NONE_KNOWN)


def test_a_month_without_a_temperature_is_refused_by_number():
    tmin_c = np.zeros(12)
    tmin_c[4] = np.nan
    with pytest.raises(ClimateFault, match="month 5 has no tmin_c"):
        Normals(tmin_c, np.ones(12), NONE_KNOWN, NONE_KNOWN)


def test_a_month_with_crossed_temperatures_is_refused_by_number():
    with pytest.raises(ClimateFault, match="month 1 has tmin_c above tmax_c"):
        Normals(np.full(12, 2.0), np.ones(12), NONE_KNOWN, NONE_KNOWN)
