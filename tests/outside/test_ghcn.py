"""Reading GHCN-Daily in its two published CSV forms; the values here are invented, the shapes published.

Shapes: NOAA National Centers for Environmental Information, GHCN-Daily. One row an element, no heading:
readme-by_station.txt (station, YYYYMMDD, element, value, measurement flag, quality flag, source flag, time of
observation). One row a day: the heading of the files under daily-summaries/access, whose cells are quoted and
padded and whose attributes are "measurement,quality,source[,time]". Units (tenths of °C, mm and m/s; -9999
missing) and flags: readme.txt, section III, as others quote it.
"""

from datetime import date, timedelta

import pytest

from schedules.weather_csv import read_weather, suspect_line
from schedules.weather_csv.ghcn import is_ghcn
from schedules.weather_csv.ghcn_flags import QUALITY

HEADING = (
    '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","PRCP","PRCP_ATTRIBUTES","SNOW","SNOW_ATTRIBUTES",'
    '"TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES","AWND","AWND_ATTRIBUTES"'
)
PLACE = '"36.05","-0.5","41.0","INVENTED FIELD, UK"'
STATION = "XXE00000001"


def a_day(day, rest, station=STATION):
    return f'"{station}","{day}",{PLACE},{rest}'


BY_DAY = "\n".join(
    [
        HEADING,
        a_day("2024-01-01", '"   12",",,E","    0",",,E","   84",",,E","  -31",",,E","   45",",,W"'),
        a_day("2024-01-02", '"    0","T,,E",,,"   90",",,E,0800","   10",",,E,0800",,'),
        a_day("2024-01-04", ',,,,"  101",",,E","  -578",",O,E","-9999",",,E"'),
    ]
)
BY_ELEMENT = "\n".join(
    [
        f"{STATION},20240101,PRCP,12,,,E,",
        f"{STATION},20240101,SNWD,0,,,E,",
        f"{STATION},20240101,TMAX,84,,,E,0800",
        f"{STATION},20240101,TMIN,-31,,,E,0800",
        f"{STATION},20240101,AWND,45,,,W,",
        f"{STATION},20240102,TMAX,90,,,E,",
        f"{STATION},20240102,TMIN,10,,,E,",
        f"{STATION},20240102,PRCP,0,T,,E,",
        f"{STATION},20240104,TMAX,101,,,E,",
        f"{STATION},20240104,TMIN,-578,,O,E,",
        f"{STATION},20240104,AWND,-9999,,,E,",
    ]
)
WITH_HEADING = f"ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n{BY_ELEMENT}"
AS_IN_README = f"ID,YEAR/MONTH/DAY,ELEMENT,DATA VALUE,M-FLAG,Q-FLAG,S-FLAG,OBS-TIME\n{BY_ELEMENT}"
FORMS = {"day": BY_DAY, "element": BY_ELEMENT, "heading": WITH_HEADING, "readme": AS_IN_README}


def values(row):
    return (row.tmin_c, row.tmax_c, row.rain_mm, row.wind_ms)


@pytest.mark.parametrize("form", FORMS)
def test_tenths_become_degrees_millimetres_and_metres_a_second(form):
    file = read_weather(FORMS[form])
    assert file.faults == ()
    assert {row.date: values(row) for row in file.rows} == {
        date(2024, 1, 1): (-3.1, 8.4, 1.2, 4.5),
        date(2024, 1, 2): (1.0, 9.0, 0.0, None),
        date(2024, 1, 4): (None, 10.1, None, None),
    }


@pytest.mark.parametrize("form", FORMS)
def test_a_flagged_value_is_set_aside_with_the_meaning_of_its_flag(form):
    (aside,) = read_weather(FORMS[form]).set_aside
    assert (aside.day, aside.quantity, aside.value) == (date(2024, 1, 4), "tmin_c", -57.8)
    assert aside.values["flag"] == "O"
    assert "climatological outliers" in suspect_line(aside)


def test_elements_that_are_not_used_are_named():
    assert read_weather(BY_DAY).ignored == ("SNOW",)
    assert read_weather(BY_ELEMENT).ignored == ("SNWD",)


@pytest.mark.parametrize("flag", [*QUALITY, "Q"])
def test_every_quality_flag_sets_its_value_aside(flag):
    file = read_weather(f"{STATION},20240101,TMAX,84,,{flag},E,\n{STATION},20240101,TMIN,10,,,E,")
    assert values(file.rows[0]) == (1.0, None, None, None)
    assert file.set_aside[0].values["flag"] == flag
    assert suspect_line(file.set_aside[0]).endswith("It is left out.")


def test_the_fourteen_published_flags_are_known():
    assert set(QUALITY) == set("DGIKLMNORSTWXZ")


def test_rain_that_its_source_presumed_to_be_nothing_is_a_gap():
    file = read_weather(f"{STATION},20240101,PRCP,0,P,,E,\n{STATION},20240101,TMIN,10,,,E,")
    assert values(file.rows[0]) == (1.0, None, None, None)
    assert file.set_aside[0].rule == "presumed_zero_by_its_source"


def test_crossed_temperatures_are_both_set_aside():
    file = read_weather(f"{STATION},20240101,TMAX,84,,,E,\n{STATION},20240101,TMIN,98,,,E,")
    assert values(file.rows[0]) == (None, None, None, None)
    assert [each.rule for each in file.set_aside] == ["minimum_above_maximum"] * 2


def test_two_stations_are_refused_by_name():
    for text in (
        f"{BY_ELEMENT}\nXXE00000002,20240105,TMAX,84,,,E,",
        f"{BY_ELEMENT}\nXXE00000002,20240105,SNOW,0,,,E,",
        "\n".join([BY_DAY, a_day("2024-01-05", '"1",",,E",,,,,,,,', station="XXE00000002")]),
    ):
        file = read_weather(text)
        assert file.rows == ()
        assert "2 stations: XXE00000001, XXE00000002" in file.faults[0].reason


def test_a_station_without_temperatures_is_refused():
    file = read_weather(f"{STATION},20240101,PRCP,12,,,E,")
    assert file.faults[0].reason == "The file has no TMIN and no TMAX."


def test_a_day_that_does_not_exist_is_named_by_line():
    file = read_weather(f"{BY_ELEMENT}\n{STATION},20240230,TMAX,84,,,E,")
    assert [(fault.line, fault.column) for fault in file.faults] == [(12, "DATE")]
    assert "no day 30 in February" in file.faults[0].reason


def test_decimals_are_not_the_published_form():
    """The web order has °C or °F with decimals and does not say which; it is never guessed."""
    file = read_weather(f"{STATION},20240101,TMAX,8.4,,,E,")
    assert "no whole number of tenths" in file.faults[0].reason


def test_a_cut_off_row_is_named():
    file = read_weather(f"{BY_DAY}\n{a_day('2024-01-05', '12')}")
    assert (file.faults[0].line, "7 cells, not 16" in file.faults[0].reason) == (5, True)


def test_the_same_value_twice_is_a_fault():
    file = read_weather(f"{BY_ELEMENT}\n{STATION},20240101,TMAX,85,,,E,")
    assert "already stands further up" in file.faults[0].reason


@pytest.mark.parametrize(
    "text",
    [
        "date,tmin_c,tmax_c\n2024-01-01,1,2",
        '"STATION","NAME","DATE","PRCP","TMAX","TMIN"\n"XXE00000001","FIELD","2024-01-01","0.0","8.4","1.0"',
        "",
        '"',
        "month,tmin_c,tmax_c",
    ],
)
def test_other_files_are_not_taken_for_ghcn(text):
    assert not is_ghcn(text)


def test_the_web_order_without_units_is_asked_for_them():
    file = read_weather(
        '"STATION","NAME","DATE","PRCP","TMAX","TMIN"\n"X","FIELD","2024-01-01","0.0","8.4","1.0"'
    )
    assert "tmax_c or tmax_f" in " ".join(fault.remedy for fault in file.faults)


def test_thirty_years_of_elements_are_read():
    first = date(1991, 1, 1)
    days = [first + timedelta(days=each) for each in range(10_957)]
    text = "\n".join(
        f"{STATION},{day:%Y%m%d},{element},{value},,,E,"
        for day in days
        for element, value in (("TMAX", 150), ("TMIN", 50), ("PRCP", 21), ("SNOW", 0))
    )
    file = read_weather(text)
    assert (len(file.rows), file.faults, file.rows[-1].rain_mm) == (10_957, (), 2.1)
