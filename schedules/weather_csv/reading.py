"""What days and normals share: opening the table, and the rows that are no rows."""

from collections.abc import Iterator
from dataclasses import dataclass

from plots.tables import MAX_ROWS, CellFault, Fault, Record, delimiter_of, records, shown, split_lines
from schedules.weather_csv.columns import Column, Header, read_header


@dataclass(frozen=True, slots=True)
class Table:
    """A file with a header; `body` is empty when `refusal` says why the file is not read at all."""

    header: Header | None
    body: tuple[Record, ...]
    refusal: Fault | None = None


def open_table(text: str, *, key: str) -> Table:
    lines = split_lines(text)
    first = next((line for line in lines if line.strip()), None)
    if first is None:
        return Table(None, (), Fault(1, "", "", "The file is empty.", f"Begin it with a header row: {key},…"))
    rows = records(lines, delimiter_of(first))
    top = next(rows)
    if top.fault:
        return Table(None, (), top.fault)
    header = read_header(top.line, top.cells, key=key)
    return _with_body(header, rows)


def _with_body(header: Header, rows: Iterator[Record]) -> Table:
    body: list[Record] = []
    for record in rows:
        if len(body) == MAX_ROWS:
            reason = f"The file has more than {MAX_ROWS} rows."
            return Table(header, (), Fault(record.line, "", "", reason, "Split it into smaller files."))
        body.append(record)
    if not body:
        return Table(
            header, (), Fault(header.line, "", "", "The file has a header but no rows.", "Add the rows.")
        )
    return Table(header, tuple(body))


def misshapen(record: Record, header: Header) -> Fault | None:
    """The fault of a row whose cells cannot be told apart; its values are not looked at."""
    if record.fault:
        return record.fault
    if not any(record.cells):
        return Fault(record.line, "", "", "The row is empty.", "Take the row out.")
    if len(record.cells) == header.width:
        return None
    reason = f"The row has {len(record.cells)} cells, the header has {header.width}."
    remedy = "Give it one cell for each heading; decimals take a point, not a comma."
    return Fault(record.line, "", shown(" | ".join(record.cells)), reason, remedy)


def cell_fault(line: int, column: Column, text: str, fault: CellFault) -> Fault:
    return Fault(line, column.name, shown(text), fault.reason, fault.remedy)
