"""The plan for Seattle's open weather record, against what guides of the region print.

Weather: vega_datasets, seattle-weather.csv (NOAA, public domain), 2012 to 2015. Its header names no units:
millimetres, degrees Celsius and metres per second are from memory. Guides: data/seattle_sowing_guides.csv,
one source a row.

A guide is held to its own precision: an opening up to 21 days early or 14 late, a closing within 14 days, and
twice that for guides read second-hand or by month alone (tier B). Tier C is read by eye and not scored.
The tolerances are common practice, no published source.
"""

import csv
import json
from datetime import date, timedelta
from importlib.util import find_spec
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

GUIDES = Path(__file__).parent / "data" / "seattle_sowing_guides.csv"
EARLY, LATE, CLOSING = timedelta(days=21), timedelta(days=14), timedelta(days=14)
TIER_B = 2
CHAIN = ["warm", "sow", "cover", "weed", "thin", "necks", "lift", "store"]


@pytest.fixture(scope="module")
def weather(tmp_path_factory) -> Path:
    """The record with a header that states its units."""
    spec = find_spec("vega_datasets")
    assert spec is not None
    assert spec.submodule_search_locations is not None
    source = Path(spec.submodule_search_locations[0]) / "_data" / "seattle-weather.csv"
    rows = list(csv.DictReader(source.read_text(encoding="utf-8").splitlines()))
    named = [
        ",".join([row["date"], row["precipitation"], row["temp_max"], row["temp_min"], row["wind"]])
        for row in rows
    ]
    path = tmp_path_factory.mktemp("seattle") / "weather.csv"
    path.write_text("\n".join(["date,rain_mm,tmax_c,tmin_c,wind_ms", *named]), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def plan(weather) -> dict[str, Any]:
    out = StringIO()
    call_command(
        "plan_sowing",
        crop="carrot-early",
        sow="fit",
        lat="47.45",
        lon="-122.31",
        zone="America/Los_Angeles",
        weather=str(weather),
        today="2013-02-01",
        json=True,
        stdout=out,
    )
    return json.loads(out.getvalue())


def guides(event: str) -> list[dict[str, Any]]:
    rows = list(csv.DictReader(GUIDES.read_text(encoding="utf-8").splitlines()))
    return [
        {
            **row,
            "first": date.fromisoformat(f"2013-{row['from_month_day']}"),
            "last": date.fromisoformat(f"2013-{row['to_month_day']}"),
        }
        for row in rows
        if row["event"] == event and row["tier"] == "B"
    ]


@pytest.mark.parametrize("guide", guides("sow_earliest"), ids=lambda guide: guide["region"])
def test_carrots_open_when_the_guides_of_the_region_say(plan, guide):
    opens = date.fromisoformat(plan["sowing"]["sow"]["from"])
    assert guide["first"] - TIER_B * EARLY <= opens <= guide["last"] + TIER_B * LATE


@pytest.mark.parametrize("guide", guides("sow_latest"), ids=lambda guide: guide["region"])
def test_carrots_close_when_the_guides_of_the_region_say(plan, guide):
    closes = date.fromisoformat(plan["sowing"]["sow"]["by"])
    assert guide["first"] - TIER_B * CLOSING <= closes <= guide["last"] + TIER_B * CLOSING


def test_the_jobs_of_carrots_come_in_the_order_of_the_work(plan):
    for part in ("from", "best", "by"):
        days = [job[part] for job in plan["jobs"] if job["kind"] in CHAIN]
        assert days == sorted(days)
    kinds = [job["kind"] for job in plan["jobs"]]
    assert [kind for kind in CHAIN if kind in kinds] == [
        "warm",
        "sow",
        "cover",
        "weed",
        "thin",
        "necks",
        "lift",
    ]


def test_the_record_after_today_is_owned_up_to(plan):
    assert "record_runs_past_today" in [warning["rule"] for warning in plan["warnings"]]
