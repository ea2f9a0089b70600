"""Reading observed days."""

from datetime import date
from typing import Literal

from plots.tables import CellFault, Fault, Record, Undecodable, by_line, decode, shown
from schedules.agronomy.climate import Suspect, impossible
from schedules.weather_csv.cells import read_day
from schedules.weather_csv.checks import DAY_LIMITS, read_values
from schedules.weather_csv.columns import CELSIUS, FAHRENHEIT, Header
from schedules.weather_csv.ghcn import is_ghcn, read_ghcn
from schedules.weather_csv.reading import cell_fault, misshapen, open_table
from schedules.weather_csv.rows import WeatherFile, WeatherRow

FULL_NAMES = {"tmin": "tmin_c", "tmax": "tmax_c", "rain": "rain_mm", "wind": "wind_ms"}


def read_weather(text: str) -> WeatherFile:
    """Read days of weather, with all faults of the file at once.

    Parameters
    ----------
    text : str
        CSV with a header that names columns and units: ``date``; ``tmin`` and ``tmax`` in ``c`` or ``f``;
        and, if wanted, ``rain`` in ``mm`` or ``in`` and ``wind`` in ``ms``, ``kmh``, ``mph`` or ``kn``,
        written ``tmin_c``, ``tmin (c)`` or ``tmin [c]``. Comma, semicolon or tab; decimals with a point.
        Or a file of GHCN-Daily, known by its shape.

    Returns
    -------
    WeatherFile
        Good rows in °C, mm and m/s; faults sorted by line. A fault in the header leaves no row good,
        but the rows are still checked for what does not hang on it. A value that nothing on earth reaches
        is set aside and leaves a gap in its row.
    """
    if is_ghcn(text):
        return read_ghcn(text)
    table = open_table(text, key="date")
    header_faults = list(table.header.faults) if table.header else []
    ignored = table.header.ignored if table.header else ()
    if table.refusal or table.header is None:
        return WeatherFile(
            (), by_line([*header_faults, *([table.refusal] if table.refusal else [])]), ignored
        )
    rows: list[WeatherRow] = []
    faults: list[Fault] = []
    aside: list[Suspect] = []
    seen: dict[date, int] = {}
    for record in table.body:
        row, wrong = _row(record, table.header, seen, aside)
        faults += wrong
        if row is not None:
            rows.append(row)
    return WeatherFile(
        () if header_faults else tuple(rows),
        by_line([*header_faults, *faults]),
        ignored,
        () if header_faults else tuple(aside),
        _unit(table.header),
    )


def read_weather_bytes(data: bytes) -> WeatherFile:
    """As read_weather, from UTF-8 or Windows-1252."""
    try:
        return read_weather(decode(data))
    except Undecodable as error:
        return WeatherFile((), (error.fault,))


def _unit(header: Header) -> Literal["c", "f"] | None:
    units = {header.columns[name].unit for name in ("tmin", "tmax") if name in header.columns}
    if units == {CELSIUS}:
        return "c"
    return "f" if units == {FAHRENHEIT} else None


def _row(
    record: Record, header: Header, seen: dict[date, int], aside: list[Suspect]
) -> tuple[WeatherRow | None, list[Fault]]:
    """Read one row; what is set aside is added to ``aside`` when the row is good otherwise."""
    fault = misshapen(record, header)
    if fault:
        return None, [fault]
    day, faults = _day(record, header, seen)
    values = read_values(record.line, record.cells, header, DAY_LIMITS, sets_aside=True)
    faults += values.faults
    if faults or day is None:
        return None, faults
    found = [impossible(day, FULL_NAMES[name], value) for name, value in values.set_aside.items()]
    aside += [each for each in found if each is not None]
    numbers = [values.get(quantity) for quantity in ("tmin", "tmax", "rain", "wind")]
    return WeatherRow(record.line, day, *numbers), []


def _day(record: Record, header: Header, seen: dict[date, int]) -> tuple[date | None, list[Fault]]:
    column = header.columns.get("date")
    if column is None:
        return None, []
    text = record.cells[column.index]
    try:
        day = read_day(text)
    except CellFault as fault:
        return None, [cell_fault(record.line, column, text, fault)]
    if day in seen:
        reason = f"{day.isoformat()} already stands on line {seen[day]}."
        return day, [Fault(record.line, column.name, shown(text), reason, "Keep one of the two rows.")]
    seen[day] = record.line
    return day, []
