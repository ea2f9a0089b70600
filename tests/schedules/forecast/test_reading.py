"""From an answer's bytes to steps."""

import json
import math
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.forecast.reading import Unreadable, hours_of, read_steps
from tests.schedules.forecast.answers import document

START = datetime(2020, 6, 10, 13, tzinfo=UTC)

# The excerpt of https://api.met.no/doc/ForecastJSON, its one step and, since the page breaks off there, a
# second bare one an hour later.
PUBLISHED = """
{"type": "Feature", "geometry": {"type": "Point", "coordinates": [10, 60.1, 267]},
 "properties": {"meta": {"updated_at": "2020-06-10T13:04:26Z",
  "units": {"air_pressure_at_sea_level": "hPa", "air_temperature": "celsius",
   "air_temperature_max": "celsius", "air_temperature_min": "celsius", "precipitation_amount": "mm",
   "relative_humidity": "%", "wind_from_direction": "degrees", "wind_speed": "m/s"}},
 "timeseries": [{"time": "2020-06-10T13:00:00Z", "data": {
  "instant": {"details": {"air_pressure_at_sea_level": 1020.5, "air_temperature": 20.7,
   "relative_humidity": 48.6, "wind_from_direction": 151.8, "wind_speed": 2.5, "wind_speed_of_gust": 6.6}},
  "next_12_hours": {"summary": {"symbol_code": "partlycloudy_day"},
   "details": {"probability_of_precipitation": 2.2}},
  "next_1_hours": {"summary": {"symbol_code": "partlycloudy_day"}, "details": {"precipitation_amount": 0.0,
   "precipitation_amount_max": 0.0, "precipitation_amount_min": 0.0, "probability_of_precipitation": 0.0}},
  "next_6_hours": {"summary": {"symbol_code": "partlycloudy_day"}, "details": {"air_temperature_max": 20.7,
   "air_temperature_min": 18.4, "precipitation_amount": 0.0}}}},
 {"time": "2020-06-10T14:00:00Z", "data": {"instant": {"details": {"air_temperature": 20.1}}}}]}}
"""


def test_the_published_excerpt_is_read_as_its_page_explains_it() -> None:
    step, last = read_steps(PUBLISHED.encode())
    assert (step.at, step.hours) == (datetime(2020, 6, 10, 13, tzinfo=UTC), 1)
    assert (step.air_c, step.wind_ms, step.humidity_pct, step.rain_mm) == (20.7, 2.5, 48.6, 0.0)
    assert (last.hours, last.air_c) == (0, 20.1)
    assert math.isnan(last.rain_mm)
    assert math.isnan(last.wind_ms)


def test_rain_is_that_of_the_period_that_fits_the_step() -> None:
    """The page: no period is shorter than the step, and several may stand side by side."""
    steps = read_steps(json.dumps(document(START, hourly=12, six_hourly=2, rain_mm=lambda at: 0.5)).encode())
    assert [step.hours for step in steps] == [1] * 12 + [6, 6, 0]
    assert [step.rain_mm for step in steps[:-1]] == [0.5] * 12 + [3.0, 3.0]
    assert len(hours_of(steps)) == 12


def changed(*path: Any, value: Any) -> bytes:
    """A good answer with one thing in it replaced; value `del` takes it out."""
    good = document(START, hourly=6, six_hourly=1)
    holder: Any = good
    for name in path[:-1]:
        holder = holder[name]
    if value == "del":
        del holder[path[-1]]
    else:
        holder[path[-1]] = value
    return json.dumps(good).encode()


SERIES = ("properties", "timeseries")
DETAILS = (*SERIES, 1, "data", "instant", "details")


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (b"", "no JSON"),
        (b"\xff\xfe", "no JSON"),
        (b"<html>503</html>", "no JSON"),
        (b"[]", "no JSON object"),
        (b"{}", "properties: is missing"),
        (b"[" * 100_000, "no JSON"),
        (changed("properties", value=[]), "properties: is missing"),
        (changed("properties", "meta", value="del"), "meta: is missing"),
        (
            changed("properties", "meta", "units", "air_temperature", value="fahrenheit"),
            "units.air_temperature",
        ),
        (changed("properties", "meta", "units", "wind_speed", value="knots"), "units.wind_speed"),
        (changed(*SERIES, value=[]), "holds no hours"),
        (changed(*SERIES, value={}), "holds no hours"),
        (changed(*SERIES, value=[1]), "is no time"),
        (changed(*SERIES, 1, "time", value="soon"), r"timeseries\[1\].time: 'soon' is no time"),
        (changed(*SERIES, 1, "time", value="2020-06-10T14:00:00"), "not in UTC"),
        (changed(*SERIES, 1, "time", value="2020-06-10T14:00:00+02:00"), "not in UTC"),
        (changed(*SERIES, 1, "time", value="2020-06-10T13:00:00Z"), "whole hours"),
        (changed(*SERIES, 1, "time", value="2020-06-10T12:00:00Z"), "whole hours"),
        (changed(*SERIES, 1, "time", value="2020-06-10T14:30:00Z"), "whole hours"),
        (changed(*SERIES, 1, "data", value="del"), "data: is missing"),
        (changed(*DETAILS, "air_temperature", value="10"), "is no number"),
        (changed(*DETAILS, "air_temperature", value=True), "is no number"),
        (changed(*DETAILS, "air_temperature", value=300), "lies outside"),
        (changed(*DETAILS, "wind_speed", value=-1), "lies outside"),
        (changed(*DETAILS, "air_temperature", value=math.nan), "NaN"),
        (changed(*DETAILS, "air_temperature", value=math.inf), "Infinity"),
        (changed(*DETAILS, "air_temperature", value=10**400), "lies outside"),
        (changed(*SERIES, value=[{"time": "2020-06-10T13:00:00Z", "data": {}}]), "no step has an air_temp"),
        (changed(*SERIES, value=document(START, hourly=1100)["properties"]["timeseries"]), "more than 1000"),
    ],
)
def test_an_answer_of_another_shape_is_refused_with_where_and_what(body: bytes, words: str) -> None:
    with pytest.raises(Unreadable, match=words):
        read_steps(body)


@pytest.mark.parametrize("name", ["wind_speed", "relative_humidity"])
def test_what_the_service_leaves_out_is_not_known_and_spoils_nothing(name: str) -> None:
    """The data model: some variables are not available for every area."""
    steps = read_steps(changed(*DETAILS, name, value="del"))
    assert math.isnan(steps[1].wind_ms if name == "wind_speed" else steps[1].humidity_pct)
    assert len(hours_of(steps)) == 6


def test_an_hour_without_temperature_is_no_hour() -> None:
    steps = read_steps(changed(*DETAILS, "air_temperature", value="del"))
    assert [step.at.hour for step in hours_of(steps)] == [13, 15, 16, 17, 18]


def test_a_period_that_is_missing_at_the_change_of_models_leaves_its_rain_unknown() -> None:
    """The page: no period unless so many hours are left in a model's data, so also at the change."""
    steps = read_steps(changed(*SERIES, 6, "data", "next_6_hours", value="del"))
    assert math.isnan(steps[6].rain_mm)


JSON = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(
                ["properties", "meta", "units", "timeseries", "time", "data", "instant", "details"]
            ),
            inner,
            max_size=4,
        )
    ),
    max_leaves=20,
)


@given(JSON)
def test_whatever_comes_is_read_or_refused_and_nothing_else(value: Any) -> None:
    with suppress(Unreadable):
        read_steps(json.dumps(value).encode())


@given(st.binary(max_size=200))
def test_whatever_bytes_come_are_refused(value: bytes) -> None:
    with pytest.raises(Unreadable):
        read_steps(value)


def test_steps_follow_each_other() -> None:
    steps = read_steps(json.dumps(document(START)).encode())
    assert all(here.ends == onward.at for here, onward in pairwise(steps))
    assert steps[-1].at - START == timedelta(hours=60 + 6 * 30)
