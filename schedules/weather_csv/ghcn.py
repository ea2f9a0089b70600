"""Reading the two published CSV forms of GHCN-Daily: one row a day, and one row an element.

Sources: NOAA NCEI, GHCN-Daily readme-by_station.txt (one row an element, no heading: the fields in order),
the heading and rows of the files under daily-summaries/access (one row a day), and readme.txt for the
elements, quoted by others: whole tenths of °C (TMIN, TMAX), of mm (PRCP), of m/s (AWND); -9999 is missing.
"""

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from plots.tables import CellFault, Fault, by_line, shown, split_lines
from schedules.agronomy.climate import Suspect, crossed, impossible
from schedules.weather_csv.cells import read_day
from schedules.weather_csv.ghcn_flags import PRESUMED_ZERO, QUALITY, UNKNOWN_FLAG
from schedules.weather_csv.rows import WeatherFile, WeatherRow

ELEMENTS = {"TMIN": "tmin_c", "TMAX": "tmax_c", "PRCP": "rain_mm", "AWND": "wind_ms"}
QUANTITIES = tuple(ELEMENTS.values())
TENTHS = 10
MISSING = -9999
MAX_ROWS = 1_000_000
MAX_FAULTS = 200
PLACE = ("STATION", "DATE", "LATITUDE", "LONGITUDE", "ELEVATION", "NAME")
ATTRIBUTES = "_ATTRIBUTES"
ELEMENT_HEADINGS = ("ID", "DATE", "ELEMENT", "DATAVALUE", "MFLAG", "QFLAG", "SFLAG", "OBSTIME")
STATION = re.compile(r"[A-Z]{2}[A-Z0-9]{9}", re.ASCII)
ELEMENT = re.compile(r"[A-Z0-9]{4}", re.ASCII)
WHOLE = re.compile(r"-?\d{1,6}", re.ASCII)
AS_PUBLISHED = "Take the file as it is published; a file changed by hand needs columns such as tmin_c."


class _Reading(NamedTuple):
    """One value as it stands in the file, before it is looked at."""

    line: int
    station: str
    day: str
    element: str
    value: str
    measured: str
    quality: str


@dataclass(slots=True)
class _Found:
    """What has been read so far."""

    days: dict[date, dict[str, float]] = field(default_factory=dict)
    lines: dict[date, int] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    aside: list[Suspect] = field(default_factory=list)
    ignored: dict[str, None] = field(default_factory=dict)
    stations: dict[str, int] = field(default_factory=dict)


def is_ghcn(text: str) -> bool:
    """Whether the first row that is not blank has the shape of either published form."""
    first = next((line for line in split_lines(text[:2_000]) if line.strip()), "")
    return _form(_cells(first)) is not None


def read_ghcn(text: str) -> WeatherFile:
    """Read a GHCN-Daily file of one station.

    Returns
    -------
    WeatherFile
        Values in °C, mm and m/s. A value with a quality flag, one out of bounds, the two temperatures of a
        day whose minimum is above its maximum, and a rain total that its source only presumed to be nothing
        are set aside. Elements that are not used are named in ``ignored``. More than one station, or a cell
        that is no whole number or no date, is a fault.
    """
    lines = split_lines(text)
    top = next(at for at, line in enumerate(lines) if line.strip())
    cells = _cells(lines[top])
    found = _Found()
    readings = (
        _by_day(lines, top, cells, found) if _form(cells) == "day" else _by_element(lines, top, cells, found)
    )
    days: dict[str, date | None] = {}
    for reading in readings:
        if len(found.faults) >= MAX_FAULTS:
            break
        _take(reading, found, days)
    return _file(found, top + 1)


def _cells(line: str) -> list[str]:
    try:
        return [cell.strip() for cell in next(csv.reader([line], strict=True), [])]
    except csv.Error:
        return []


def _form(cells: list[str]) -> str | None:
    if tuple(cells[: len(PLACE)]) == PLACE and any(cell.endswith(ATTRIBUTES) for cell in cells):
        return "day"
    if _is_element_heading(cells):
        return "element"
    is_row = (
        len(cells) in (7, 8) and STATION.fullmatch(cells[0]) and re.fullmatch(r"\d{8}", cells[1], re.ASCII)
    )
    return "element" if is_row and ELEMENT.fullmatch(cells[2]) else None


def _is_element_heading(cells: list[str]) -> bool:
    names = [re.sub(r"[^A-Z]", "", cell.upper()).replace("YEARMONTHDAY", "DATE") for cell in cells]
    return tuple(names) == ELEMENT_HEADINGS


def _by_day(lines: list[str], top: int, heading: list[str], found: _Found) -> Iterator[_Reading]:
    at = {name: heading.index(name) for name in ELEMENTS if name in heading}
    flags = {name: heading.index(name + ATTRIBUTES) for name in at if name + ATTRIBUTES in heading}
    others = [
        name for name in heading[len(PLACE) :] if name not in ELEMENTS and not name.endswith(ATTRIBUTES)
    ]
    found.ignored.update(dict.fromkeys(others))
    for line, cells in _rows(lines, top + 1, found):
        if len(cells) != len(heading):
            _misshapen(line, cells, len(heading), found)
            continue
        for name, index in at.items():
            marks = cells[flags[name]].split(",") if name in flags else []
            measured, quality = (mark.strip() for mark in [*marks, "", ""][:2])
            yield _Reading(line, cells[0], cells[1], name, cells[index], measured, quality)


def _by_element(lines: list[str], top: int, cells: list[str], found: _Found) -> Iterator[_Reading]:
    for line, row in _rows(lines, top + _is_element_heading(cells), found):
        if len(row) not in (7, 8):
            _misshapen(line, row, len(ELEMENT_HEADINGS), found)
        elif row[2] not in ELEMENTS:
            found.ignored[shown(row[2])] = None
            found.stations.setdefault(shown(row[0]), line)
        else:
            day = f"{row[1][:4]}-{row[1][4:6]}-{row[1][6:]}" if len(row[1]) == 8 else row[1]
            yield _Reading(line, row[0], day, row[2], row[3], row[4], row[5])


def _rows(lines: list[str], begin: int, found: _Found) -> Iterator[tuple[int, list[str]]]:
    for at in range(begin, len(lines)):
        if at - begin >= MAX_ROWS:
            reason = f"The file has more than {MAX_ROWS} rows."
            found.faults.append(Fault(at + 1, "", "", reason, "Split it into smaller files."))
            return
        if lines[at].strip():
            yield at + 1, _cells(lines[at])


def _misshapen(line: int, cells: list[str], width: int, found: _Found) -> None:
    reason = (
        f"The row has {len(cells)} cells, not {width}." if cells else "The row cannot be told into cells."
    )
    found.faults.append(Fault(line, "", shown(" | ".join(cells)), reason, AS_PUBLISHED))


def _take(reading: _Reading, found: _Found, days: dict[str, date | None]) -> None:
    """Look at one value: a number of a day, a gap, something to set aside, or a fault."""
    found.stations.setdefault(shown(reading.station), reading.line)
    if reading.day not in days:
        days[reading.day] = _day(reading, found)
    day = days[reading.day]
    if day is None or reading.value in ("", str(MISSING)):
        return
    if not WHOLE.fullmatch(reading.value):
        reason = f"{reading.element} is no whole number of tenths."
        found.faults.append(Fault(reading.line, reading.element, shown(reading.value), reason, AS_PUBLISHED))
        return
    quantity, value = ELEMENTS[reading.element], int(reading.value) / TENTHS
    kept = found.days.setdefault(day, {})
    found.lines.setdefault(day, reading.line)
    suspect = _suspect(day, quantity, value, reading)
    if suspect:
        found.aside.append(suspect)
    elif quantity in kept:
        reason = f"{reading.element} of {day} already stands further up."
        found.faults.append(
            Fault(reading.line, reading.element, shown(reading.value), reason, "Keep one of them.")
        )
    else:
        kept[quantity] = value


def _day(reading: _Reading, found: _Found) -> date | None:
    try:
        return read_day(reading.day)
    except CellFault as fault:
        found.faults.append(Fault(reading.line, "DATE", shown(reading.day), fault.reason, AS_PUBLISHED))
        return None


def _suspect(day: date, quantity: str, value: float, reading: _Reading) -> Suspect | None:
    if reading.quality:
        meaning = QUALITY.get(reading.quality, UNKNOWN_FLAG)
        figures = {"flag": shown(reading.quality), "meaning": meaning}
        return Suspect(day, quantity, value, "flagged_by_its_source", figures)
    if quantity == "rain_mm" and reading.measured == PRESUMED_ZERO:
        return Suspect(day, quantity, value, "presumed_zero_by_its_source")
    return impossible(day, quantity, value)


def _file(found: _Found, line: int) -> WeatherFile:
    header = _whole_file_faults(found, line)
    rows = []
    for day in sorted(found.days):
        kept = found.days[day]
        wrong = crossed(day, kept.get("tmin_c", float("nan")), kept.get("tmax_c", float("nan")))
        found.aside += wrong
        for each in wrong:
            del kept[each.quantity]
        rows.append(WeatherRow(found.lines[day], day, *(kept.get(quantity) for quantity in QUANTITIES)))
    return WeatherFile(
        () if header else tuple(rows),
        by_line([*header, *found.faults]),
        tuple(found.ignored),
        tuple(sorted(found.aside, key=lambda each: (each.day, each.quantity))) if not header else (),
    )


def _whole_file_faults(found: _Found, line: int) -> list[Fault]:
    if len(found.stations) > 1:
        named = ", ".join(list(found.stations)[:5]) + (" and more" if len(found.stations) > 5 else "")
        reason = f"The file holds {len(found.stations)} stations: {named}."
        at = list(found.stations.values())[1]
        return [Fault(at, "STATION", "", reason, "Take one station at a time, the nearest to the site.")]
    if not found.faults and not any("tmin_c" in kept or "tmax_c" in kept for kept in found.days.values()):
        aside = any(each.quantity in ("tmin_c", "tmax_c") for each in found.aside)
        if not aside:
            reason = "The file has no TMIN and no TMAX."
            return [Fault(line, "", "", reason, "Choose a station that reads the temperature.")]
    return []
