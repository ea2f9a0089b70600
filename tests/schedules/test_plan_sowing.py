"""`manage.py plan_sowing`: from a file to a plan, with no database."""

import json
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
    assert text.startswith("Carrot, early\nSeason for sowing: from 2027-")
    assert "Thin 1: from" in text
    assert "Source: " in text


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
    found = {warning["rule"]: warning["values"] for warning in payload(weather=str(record))["warnings"]}
    # From 1 March: the last days of nine months are bridged; those of December run on into January.
    assert found["weather_was_bridged"]["bridged_days"] == 23
    assert found["weather_has_gaps"]["missing_days"] == 3 + 31


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
