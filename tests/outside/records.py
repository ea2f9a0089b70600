"""Open daily weather out of packages that are taken for their data alone; nothing of them is imported.

Seattle 2012-2015 (NOAA, public domain) from vega_datasets; Brussels 1976-2005 and six English counties
1991-2021 (the counties look gridded and name no source: realistic input, not observed frost) from aquacrop;
Wageningen 1976-1999 from pcse. The files name no units: °C, mm and m/s are from memory, the Wageningen ones
from the head of its files.
"""

import csv
from collections.abc import Iterable
from datetime import date
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np

from schedules.agronomy.climate import DailyWeather

BRUSSELS, CAMBRIDGE, NORFOLK, CORDOBA = "brussels", "cambridge", "norfolk", "cordoba"
NORTHUMBERLAND, SUFFOLK = "northumberland", "suffolk"
Row = tuple[date, float, float, float, float]


def folder(package: str) -> Path:
    """Where a package lies, found without running it."""
    spec = find_spec(package)
    assert spec is not None
    assert spec.submodule_search_locations is not None, f"{package} is not installed: uv sync --group dev"
    return Path(spec.submodule_search_locations[0])


@cache
def seattle() -> DailyWeather:
    lines = (folder("vega_datasets") / "_data" / "seattle-weather.csv").read_text(encoding="utf-8")
    return _daily(
        (
            date(*map(int, row["date"].split("/"))),
            float(row["temp_min"]),
            float(row["temp_max"]),
            float(row["precipitation"]),
            float(row["wind"]),
        )
        for row in csv.DictReader(lines.splitlines())
    )


@cache
def county(name: str) -> DailyWeather:
    """A record of aquacrop: day, month, year, lowest, highest, rain, evapotranspiration."""
    text = (folder("aquacrop") / "data" / f"{name}_climate.txt").read_text(encoding="utf-8")
    rows = [line.split() for line in text.splitlines()[1:] if line.strip()]
    return _daily(
        (date(int(year), int(month), int(day)), float(low), float(high), float(rain), np.nan)
        for day, month, year, low, high, rain, *_ in rows
    )


@cache
def wageningen() -> DailyWeather:
    """The record of pcse, 1991 (which breaks off in August) and days flagged -999 left as gaps."""
    rows: dict[date, Row] = {}
    for path in sorted((folder("pcse") / "tests" / "test_data").glob("NL1.9*")):
        for line in path.read_text(encoding="latin-1").splitlines():
            cells = line.split()
            if len(cells) != 9 or cells[0] != "1":
                continue
            year, day_of_year = int(cells[1]), int(cells[2])
            day = date(year, 1, 1).fromordinal(date(year, 1, 1).toordinal() + day_of_year - 1)
            low, high, _vapour, wind, rain = (float(cell) for cell in cells[4:])
            rows[day] = (day, low, high, rain, wind if wind >= 0 else np.nan)
    return _daily(rows.values())


def _daily(rows: Iterable[Row]) -> DailyWeather:
    by_day = {row[0]: row[1:] for row in rows}
    first = min(by_day)
    values = np.full((4, (max(by_day) - first).days + 1), np.nan)
    for day, reading in by_day.items():
        values[:, (day - first).days] = reading
    return DailyWeather(first, *values)
