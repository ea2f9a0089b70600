"""Reading observed days."""

from datetime import date

from schedules.weather_csv.cells import CellFault, read_day
from schedules.weather_csv.checks import DAY_LIMITS, read_values
from schedules.weather_csv.columns import Header
from schedules.weather_csv.reading import cell_fault, misshapen, open_table
from schedules.weather_csv.rows import Fault, WeatherFile, WeatherRow, by_line, shown
from schedules.weather_csv.table import Record, Undecodable, decode


def read_weather(text: str) -> WeatherFile:
    """Read days of weather, with all faults of the file at once.

    Parameters
    ----------
    text : str
        CSV with a header that names columns and units: ``date``; ``tmin`` and ``tmax`` in ``c`` or ``f``;
        and, if wanted, ``rain`` in ``mm`` or ``in`` and ``wind`` in ``ms``, ``kmh``, ``mph`` or ``kn``,
        written ``tmin_c``, ``tmin (c)`` or ``tmin [c]``. Comma, semicolon or tab; decimals with a point.

    Returns
    -------
    WeatherFile
        Good rows in °C, mm and m/s; faults sorted by line. A fault in the header leaves no row good,
        but the rows are still checked for what does not hang on it.
    """
    table = open_table(text, key="date")
    header_faults = list(table.header.faults) if table.header else []
    ignored = table.header.ignored if table.header else ()
    if table.refusal or table.header is None:
        return WeatherFile(
            (), by_line([*header_faults, *([table.refusal] if table.refusal else [])]), ignored
        )
    rows: list[WeatherRow] = []
    faults: list[Fault] = []
    seen: dict[date, int] = {}
    for record in table.body:
        row, wrong = _row(record, table.header, seen)
        faults += wrong
        if row is not None:
            rows.append(row)
    return WeatherFile(() if header_faults else tuple(rows), by_line([*header_faults, *faults]), ignored)


def read_weather_bytes(data: bytes) -> WeatherFile:
    """As read_weather, from UTF-8 or Windows-1252."""
    try:
        return read_weather(decode(data))
    except Undecodable as error:
        return WeatherFile((), (error.fault,))


def _row(record: Record, header: Header, seen: dict[date, int]) -> tuple[WeatherRow | None, list[Fault]]:
    fault = misshapen(record, header)
    if fault:
        return None, [fault]
    day, faults = _day(record, header, seen)
    values = read_values(record.line, record.cells, header, DAY_LIMITS)
    faults += values.faults
    if faults or day is None:
        return None, faults
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
