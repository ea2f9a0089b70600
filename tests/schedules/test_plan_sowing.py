"""`manage.py plan_sowing`: from a file to a plan, with no database."""

import json
from datetime import date, timedelta
from io import StringIO
from pathlib import Path

import pytest
import time_machine
from django.core.management import CommandError, call_command

TMIN = (1, 1, 2, 4, 7, 10, 12, 12, 10, 7, 4, 2)
TMAX = (7, 8, 11, 14, 17, 20, 23, 22, 19, 15, 10, 8)


@pytest.fixture
def normals(tmp_path) -> Path:
    rows = [
        f"{month},{low},{high}" for month, (low, high) in enumerate(zip(TMIN, TMAX, strict=True), start=1)
    ]
    return written(tmp_path / "normals.csv", "month,tmin_c,tmax_c", *rows)


def written(path: Path, *lines: str) -> Path:
    path.write_text("\n".join(lines), encoding="utf-8")
    return path


def run(**options) -> str:
    out = StringIO()
    usual = {"crop": "carrot-early", "sow": "fit", "lat": "52", "lon": "-1", "zone": "Europe/London"}
    usual |= {"today": "2027-02-01"}
    call_command("plan_sowing", stdout=out, **{k: v for k, v in (usual | options).items() if v is not None})
    return out.getvalue()


def payload(**options) -> dict:
    return json.loads(run(json=True, **options))


def test_normals_are_enough_for_a_plan(normals):
    answer = payload(normals=str(normals))
    assert answer["sowing"]["crop"] == "carrot-early"
    assert [job["kind"] for job in answer["jobs"]][:2] == ["warm", "sow"]


def test_the_plan_reads_as_text(normals):
    text = run(normals=str(normals))
    head, *rest = text.split("\n\n")
    assert head.startswith("Carrot, early\nSeason for sowing: from ")
    assert " 2027, best " in head
    assert "2027-" not in text
    assert "Thin 1: from" in text
    assert rest[-1].startswith("Sources\n  [1] ")


def test_what_the_dates_rest_on_and_each_source_are_said_once(normals):
    text = run(normals=str(normals))
    assert text.count("reckoned from monthly normals") == 1
    sources = text.split("\n\n")[-1].splitlines()[1:]
    names = [line.split("] ", 1)[1] for line in sources]
    assert len(names) == len(set(names))
    assert all(f"[{number}]" in text for number in range(1, len(names) + 1))


def test_what_to_beware_of_comes_first(normals):
    text = run(normals=str(normals), sow="2027-09-20")
    parts = [part.split("\n")[0] for part in text.split("\n\n")]
    assert parts[1] == "Beware"


def test_imperial_units_reach_the_text(normals):
    jobs = payload(normals=str(normals), units="imperial")["jobs"]
    text = " ".join(job["reason"]["text"] for job in jobs)
    assert "°F" in text
    assert "°C" not in text


def test_a_day_set_is_kept(normals):
    sow = payload(normals=str(normals), sow="2027-04-20")["sowing"]["sow"]
    assert sow == {"from": "2027-04-20", "best": "2027-04-20", "by": "2027-04-20"}


def test_a_cover_opens_the_sowing_earlier(normals):
    bare, covered = (
        payload(normals=str(normals), cover=cover)["sowing"]["sow"]["from"] for cover in ("none", "clear")
    )
    assert covered < bare


def test_a_container_is_told_of_height(normals):
    cover = next(
        job for job in payload(normals=str(normals), container="60")["jobs"] if job["kind"] == "cover"
    )
    assert cover["notes"][0]["rule"] == "height_is_no_cover"


@time_machine.travel("2027-05-01T23:30:00Z", tick=False)
def test_today_is_the_sites_own_date(normals):
    answer = payload(normals=str(normals), today=None, zone="Pacific/Auckland", sow="2027-05-01")
    assert "sowing_not_recorded" in [warning["rule"] for warning in answer["warnings"]]


def test_a_record_of_days_is_enough_for_a_plan(tmp_path):
    days = [
        f"2026-{month:02}-{day:02},{low},{high}"
        for month, (low, high) in enumerate(zip(TMIN, TMAX, strict=True), start=1)
        for day in range(1, 29)
    ]
    record = written(tmp_path / "days.csv", "date,tmin_c,tmax_c", *days)
    found = {each["rule"]: each["values"] for each in payload(weather=str(record))["warnings"]}
    # The last days of December run on into January, and are too many to bridge.
    assert found["weather_has_gaps"]["missing_days"] == 3 + 31
    earlier = payload(weather=str(record), today="2026-12-01")["warnings"]
    found = {each["rule"]: each["values"] for each in earlier}
    # From 1 January: the last days of ten months, February having none.
    assert found["weather_was_bridged"]["bridged_days"] == 26
    assert "weather_has_gaps" not in found


@pytest.mark.parametrize(
    ("options", "message"),
    [
        ({"crop": "carrot-erly"}, r"--crop.*did you mean carrot-early[^?]*\.$"),
        ({"sow": "2027-13-01"}, "--sow.*not a date; write one like 2027-04-12, or 'fit'"),
        ({"sow": "2035-01-01"}, "--sow: 2035-01-01 is more than two years"),
        ({"today": "yesterday"}, "--today.*not a date"),
        ({"today": "0001-01-01"}, "--today.*check the year"),
        ({"zone": "Europe/Londn"}, "--zone.*write one like Europe/London"),
        ({"lat": "91"}, "--lat.*outside -90 to 90"),
        ({"lat": "nan"}, "--lat.*not a number"),
        ({"lon": "-181"}, "--lon.*outside -180 to 180"),
        ({"lon": "west"}, "--lon.*not a number"),
        ({"container": "-3"}, "--container.*above 0"),
        ({"units": "cubits"}, "--units.*choose one of metric"),
        ({"cover": "glass"}, "--cover.*choose one of none"),
        ({"normals": "/no/such/file.csv"}, "--normals.*No such file"),
        ({"weather": "/"}, "--weather.*is a folder"),
        ({}, "--weather or --normals: give a CSV"),
    ],
)
def test_a_fault_names_its_option_and_the_remedy(options, message):
    with pytest.raises(CommandError, match=message):
        run(**options)


def test_every_fault_of_a_weather_file_is_listed_with_its_line(tmp_path):
    record = written(
        tmp_path / "days.csv", "date,tmin_c,tmax_c", "2026-01-01,9,3", "2026-01-32,1,4", "2026-01-03,x,4"
    )
    with pytest.raises(CommandError) as caught:
        run(weather=str(record))
    told = str(caught.value)
    assert told.startswith("--weather: the file cannot be used")
    assert all(f"line {line}" in told for line in (2, 3, 4))
    assert "tmin_c" in told


def test_an_unreadable_file_is_refused(tmp_path):
    path = tmp_path / "days.xls"
    path.write_bytes(b"\xd0\xcf\x11\xe0\x00\x00")
    with pytest.raises(CommandError, match=r"--weather.*not plain text"):
        run(weather=str(path))


def test_a_header_without_days_is_refused(tmp_path):
    record = written(tmp_path / "days.csv", "date,tmin_c,tmax_c")
    with pytest.raises(CommandError, match="--weather"):
        run(weather=str(record))


def test_a_record_too_short_for_a_climate_says_what_to_add(tmp_path):
    record = written(tmp_path / "days.csv", "date,tmin_c,tmax_c", "2026-01-01,1,4")
    with pytest.raises(CommandError, match="supply monthly normals"):
        run(weather=str(record))


def days_of_2026(**changed) -> list[str]:
    """A year of days; a change is written d0718="-57.8,22", a day left out d0718=None."""
    days = [(date(2026, 1, 1) + timedelta(days=each)) for each in range(365)]
    rows = {f"d{day:%m%d}": f"{TMIN[day.month - 1]},{TMAX[day.month - 1]}" for day in days}
    rows |= changed
    return [f"{day},{rows[f'd{day:%m%d}']}" for day in days if rows[f"d{day:%m%d}"] is not None]


def beware(tmp_path, *rows: str, header: str = "date,tmin_c,tmax_c", **options) -> dict:
    record = written(tmp_path / "days.csv", header, *rows)
    answer = payload(weather=str(record), today="2026-09-01", **options)
    return {warning["rule"]: warning for warning in answer["warnings"]}


def test_a_whole_record_is_not_warned_of(tmp_path):
    found = beware(tmp_path, *days_of_2026())
    assert not found.keys() & {"readings_set_aside", "weather_was_bridged", "weather_has_gaps"}


def test_a_gap_of_two_days_is_bridged_and_said(tmp_path):
    found = beware(tmp_path, *days_of_2026(d0610=None, d0611=None))
    assert found["weather_was_bridged"]["values"]["bridged_days"] == 2
    assert "weather_has_gaps" not in found


def test_a_gap_of_twelve_days_is_not_bridged_and_said(tmp_path):
    found = beware(tmp_path, *days_of_2026(**{f"d06{day:02}": None for day in range(10, 22)}))
    assert found["weather_has_gaps"]["values"]["missing_days"] == 12
    text = found["weather_has_gaps"]["text"]
    assert "12 days have no observed temperature between 10 June 2026 and 21 June 2026" in text
    assert "weather_was_bridged" not in found


def test_an_impossible_reading_is_set_aside_named_and_bridged(tmp_path):
    found = beware(tmp_path, *days_of_2026(d0718="-57.8,22"))
    text = found["readings_set_aside"]["text"]
    assert text.startswith(
        "Check 1 reading of the weather that was left out: minimum -57.8 °C on 18 July 2026"
    )
    assert found["weather_was_bridged"]["values"]["bridged_days"] == 1


def test_a_file_in_fahrenheit_called_celsius_is_left_out_where_normals_stand_in(tmp_path, normals):
    rows = [
        f"{day},{low * 1.8 + 32:.0f},{high * 1.8 + 32:.0f}" for day, low, high in map(split, days_of_2026())
    ]
    found = beware(tmp_path, *rows, normals=str(normals))
    assert "tmin_f and tmax_f" in found["unit_looks_wrong"]["text"]
    assert found["unit_looks_wrong"]["values"]["days"] == 365


def split(row: str) -> tuple[str, float, float]:
    day, low, high = row.split(",")
    return day, float(low), float(high)


def test_a_file_in_fahrenheit_called_celsius_and_nothing_else_is_refused(tmp_path):
    rows = [
        f"{day},{low * 1.8 + 32:.0f},{high * 1.8 + 32:.0f}" for day, low, high in map(split, days_of_2026())
    ]
    with pytest.raises(CommandError, match=r"--weather: The temperatures look to be °F.*--unit-is-right"):
        beware(tmp_path, *rows)


def test_a_file_of_ghcn_serves_for_a_plan(tmp_path):
    flags = {"2026-05-05": "I"}
    rows = [
        f"XXE00000001,{day.replace('-', '')},{element},{value * 10:.0f},,{flags.get(day, '')},E,"
        for day, low, high in map(split, days_of_2026())
        for element, value in (("TMAX", high), ("TMIN", low))
    ]
    record = written(tmp_path / "ghcn.csv", *rows)
    warnings = {each["rule"]: each for each in payload(weather=str(record), today="2026-09-01")["warnings"]}
    assert warnings["readings_set_aside"]["values"]["readings"] == 2
    assert "marked as doubtful by its source" in warnings["readings_set_aside"]["text"]
