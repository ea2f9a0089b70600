"""Reading the long-term means of the twelve months."""

from plots.tables import (
    CellFault,
    Fault,
    Record,
    Undecodable,
    by_line,
    decode,
    delimiter_of,
    records,
    shown,
    split_lines,
)
from schedules.weather_csv.cells import read_month
from schedules.weather_csv.checks import DAY_LIMITS, Limits, read_values
from schedules.weather_csv.columns import Header
from schedules.weather_csv.reading import cell_fault, misshapen, open_table
from schedules.weather_csv.rows import NormalRow, NormalsFile

# A month's mean total: common practice, no published source.
MONTH_LIMITS = {**DAY_LIMITS, "rain": Limits(0.0, 10_000.0)}


def is_normals(text: str) -> bool:
    """Whether the header has a month and no date."""
    lines = split_lines(text)
    first = next((line for line in lines if line.strip()), "")
    top = next(records([first], delimiter_of(first)), None)
    names = {cell.casefold() for cell in top.cells} if top else set()
    return "month" in names and "date" not in names


def read_normals(text: str) -> NormalsFile:
    """Read twelve rows ``month,tmin_c,tmax_c,rain_mm,wind_ms``, each month once, in any order.

    Units and spellings as in read_weather; ``rain`` is the mean total of the month. The two temperatures
    are needed in every month, rain and wind may be left out. Any fault leaves `rows` empty.
    """
    table = open_table(text, key="month")
    faults = list(table.header.faults) if table.header else []
    ignored = table.header.ignored if table.header else ()
    if table.refusal or table.header is None:
        return NormalsFile((), by_line([*faults, *([table.refusal] if table.refusal else [])]), ignored)
    rows: list[NormalRow] = []
    seen: dict[int, int] = {}
    for record in table.body:
        row, wrong = _row(record, table.header, seen)
        faults += wrong
        if row is not None:
            rows.append(row)
    faults += _absent_months(table.header, seen)
    return NormalsFile(() if faults else tuple(rows), by_line(faults), ignored)


def read_normals_bytes(data: bytes) -> NormalsFile:
    """As read_normals, from UTF-8 or Windows-1252."""
    try:
        return read_normals(decode(data))
    except Undecodable as error:
        return NormalsFile((), (error.fault,))


def _row(record: Record, header: Header, seen: dict[int, int]) -> tuple[NormalRow | None, list[Fault]]:
    fault = misshapen(record, header)
    if fault:
        return None, [fault]
    month, faults = _month(record, header, seen)
    values = read_values(record.line, record.cells, header, MONTH_LIMITS)
    faults += [*values.faults, *_gaps(record, header)]
    tmin_c, tmax_c = values.get("tmin"), values.get("tmax")
    if faults or month is None or tmin_c is None or tmax_c is None:
        return None, faults
    return NormalRow(record.line, month, tmin_c, tmax_c, values.get("rain"), values.get("wind")), []


def _month(record: Record, header: Header, seen: dict[int, int]) -> tuple[int | None, list[Fault]]:
    column = header.columns.get("month")
    if column is None:
        return None, []
    text = record.cells[column.index]
    try:
        month = read_month(text)
    except CellFault as fault:
        return None, [cell_fault(record.line, column, text, fault)]
    if month in seen:
        reason = f"Month {month} already stands on line {seen[month]}."
        return month, [Fault(record.line, column.name, shown(text), reason, "Keep one of the two rows.")]
    seen[month] = record.line
    return month, []


def _gaps(record: Record, header: Header) -> list[Fault]:
    columns = [header.columns[quantity] for quantity in ("tmin", "tmax") if quantity in header.columns]
    reason, remedy = (
        "The month has no value here.",
        "Fill it in: normals need both temperatures in all months.",
    )
    return [Fault(record.line, c.name, "", reason, remedy) for c in columns if not record.cells[c.index]]


def _absent_months(header: Header, seen: dict[int, int]) -> list[Fault]:
    absent = [month for month in range(1, 13) if month not in seen]
    if not absent or "month" not in header.columns:
        return []
    listed = ", ".join(str(month) for month in absent)
    return [Fault(header.line, "month", listed, f"No row for month {listed}.", "Give all twelve months.")]
