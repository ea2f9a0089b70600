"""Every crop planned by the command on ten years of weather, in England and south of the equator.

Weather: Cambridge and (southern) Cordoba, 2011-2020, out of the package aquacrop. Positions are those of the
towns, from memory.
"""

import json
from datetime import date
from io import StringIO
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from django.core.management import call_command

from plots.crops import crops
from schedules.agronomy.climate import DailyWeather
from schedules.planner import Kind
from tests.outside import records

ENGLISH = {
    "record": "cambridge",
    "lat": "52.2",
    "lon": "0.12",
    "zone": "Europe/London",
    "today": "2021-01-10",
}
SOUTHERN = {
    "record": "cordoba",
    "lat": "-31.4",
    "lon": "-64.2",
    "zone": "America/Argentina/Cordoba",
    "today": "2021-07-10",
}
# Grown under glass in England; in the open the honest answer may be that no day is fit (common practice).
UNDER_GLASS = {"aubergine", "pepper"}
FIRST, LAST = date(2011, 1, 1), date(2020, 12, 31)
# What leads up to the sowing, the sowing, its tending, its gathering and what follows.
ORDER = [{"raise", "warm"}, {"sow"}, {"cover"}, {"necks"}, {"lift"}, {"store"}, {"store_check"}]
TENDING = {"uncover", "showing", "weed", "thin", "earth_up"}


def ten_years(record: DailyWeather, path: Path) -> Path:
    days = record.dates
    kept = (days >= np.datetime64(FIRST, "D")) & (days <= np.datetime64(LAST, "D"))
    rows = zip(days[kept], record.tmin_c[kept], record.tmax_c[kept], record.rain_mm[kept], strict=True)
    lines = [f"{day},{low:.2f},{high:.2f},{rain:.2f}" for day, low, high, rain in rows]
    path.write_text("\n".join(["date,tmin_c,tmax_c,rain_mm", *lines]), encoding="utf-8")
    return path


@pytest.fixture(scope="module", params=[ENGLISH, SOUTHERN], ids=["English", "southern"])
def place(request: Any, tmp_path_factory: Any) -> dict[str, str]:
    options = dict(request.param)
    folder = tmp_path_factory.mktemp(options["record"])
    options["weather"] = str(ten_years(records.county(options.pop("record")), folder / "weather.csv"))
    return options


def told(place: dict[str, str], crop: str, **more: str) -> dict[str, Any]:
    out = StringIO()
    call_command("plan_sowing", crop=crop, sow="fit", json=True, stdout=out, **place, **more)
    answer: dict[str, Any] = json.loads(out.getvalue())
    return answer


@pytest.mark.parametrize("crop", [each.key for each in crops()])
def test_every_crop_has_a_plan_in_order_with_reasons(place, crop):
    answer = told(place, crop)
    if answer["sowing"]["sow"] is None:
        assert crop in UNDER_GLASS
        assert answer["warnings"][0]["rule"] == "no_day_is_fit"
        return
    jobs = answer["jobs"]
    assert {"sow"} <= {job["kind"] for job in jobs} <= {str(kind) for kind in Kind}
    for part in ("from", "best", "by"):
        assert _in_order([(job["kind"], job[part]) for job in jobs]), [(j["kind"], j[part]) for j in jobs]
    reasons = [each for job in jobs for each in (job["reason"], *job["notes"])]
    reasons += [*answer["outlook"], *answer["warnings"]]
    assert all(each["source"] and each["text"] for each in reasons)
    assert all(job["from"] <= job["best"] <= job["by"] for job in jobs)


@pytest.mark.parametrize("crop", [each.key for each in crops()][::4])
def test_every_fourth_crop_speaks_in_feet_and_fahrenheit_too(place, crop):
    answer = told(place, crop, units="imperial")
    words = " ".join(job["reason"]["text"] for job in answer["jobs"])
    assert "°C" not in words
    assert " mm" not in words


def _in_order(days: list[tuple[str, str]]) -> bool:
    """No job of a later group comes before one of an earlier; tending lies between cover and lifting."""
    groups = [[day for kind, day in days if kind in group] for group in (*ORDER[:3], TENDING, *ORDER[3:])]
    ranked = [group for group in groups if group]
    return all(max(before) <= min(after) or _tends(before, after) for before, after in _pairs(ranked))


def _pairs(groups: list[list[str]]) -> list[tuple[list[str], list[str]]]:
    return list(pairwise(groups))


def _tends(before: list[str], after: list[str]) -> bool:
    """Tending may go on while a cover comes off or necks are felt."""
    return min(before) <= min(after)
