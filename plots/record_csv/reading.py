"""Reading a file of old records: rows, and every fault with its line, column, reason and remedy."""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from plots.record_csv.cells import read_corners, read_length, unescaped
from plots.record_csv.columns import LENGTHS, Header, read_header
from plots.record_csv.crop_names import LONGEST_NAME, is_nothing, read_crop, read_with_family
from plots.record_csv.days import Order, order_of, read_moment, read_year
from plots.record_csv.problem_names import read_problem, read_yes
from plots.record_csv.rows import Corners, Moment, RecordFile, RecordRow, What, Where
from plots.tables import (
    MAX_ROWS,
    CellFault,
    Fault,
    Record,
    Undecodable,
    UnreadableWorkbook,
    by_line,
    decode,
    delimiter_of,
    is_workbook,
    read_sheet,
    records,
    shown,
    split_lines,
)

MAX_BYTES = 5_000_000
DELIMITER_HINT = re.compile(r"sep=([,;\t|])", re.IGNORECASE)
LONGEST_VARIETY, LONGEST_NOTE, LONGEST_PLOT = 60, 400, 12
# Who has more than these has the wrong file, or one slip in every row.
MOST_FAULTS, MOST_NAMED = 2000, 12
BEGIN_WITH = "Begin it with a header row: year,plot,bed,from,to,crop,problem"


@dataclass(slots=True)
class Reading:
    """What the whole file has in common while its rows are read."""

    header: Header
    order: Order
    faults: list[Fault] = field(default_factory=list)
    flawed: list[RecordRow] = field(default_factory=list)
    months: int = 0
    fallow: int = 0
    by_family: Counter[str] = field(default_factory=Counter)


class _Cells:
    """One row's cells by their column; a fault in one of them is noted and does not stop the others."""

    def __init__(self, record: Record, reading: Reading) -> None:
        self.line, self.cells, self.reading = record.line, record.cells, reading

    def text(self, key: str) -> str:
        column = self.reading.header.columns.get(key)
        if column is None or column.index >= len(self.cells):
            return ""
        return " ".join(unescaped(self.cells[column.index]).split())

    def raw(self, key: str) -> str:
        """As it stands, with the breaks between its lines."""
        column = self.reading.header.columns.get(key)
        return "" if column is None or column.index >= len(self.cells) else self.cells[column.index]

    def fault(self, key: str, reason: str, remedy: str) -> None:
        column = self.reading.header.columns.get(key)
        name = column.name if column else key
        self.reading.faults.append(Fault(self.line, name, shown(self.text(key)), reason, remedy))

    def short(self, key: str, most: int) -> str:
        text = self.text(key)
        if len(text) > most:
            self.fault(key, f"This has {len(text)} letters.", f"Say it in {most}.")
        return text


def read_record(data: bytes) -> RecordFile:
    """Read a CSV file (UTF-8 or Windows-1252; comma, semicolon or tab) or an XLSX workbook.

    Nothing of a file is of use before its faults are mended: the rows are then those that were good.
    """
    if len(data) > MAX_BYTES:
        reason = f"The file is larger than {MAX_BYTES // 1_000_000} MB."
        return RecordFile((), (Fault(1, "", "", reason, "Split it by years and send each part."),))
    try:
        found, remarks = _records(data)
    except (Undecodable, UnreadableWorkbook) as error:
        return RecordFile((), (error.fault,))
    refusal = _refusal(found)
    if refusal is not None:
        return RecordFile((), (refusal,))
    top, *body = found
    header = read_header(top.line, tuple(unescaped(cell) for cell in top.cells))
    if header.faults:
        return RecordFile((), header.faults, remarks, header.ignored)
    rows, reading = _rows(header, body)
    said = (*remarks, *_remarks(reading))
    return RecordFile(rows, by_line(reading.faults), said, header.ignored, tuple(reading.flawed))


def _records(data: bytes) -> tuple[list[Record], tuple[str, ...]]:
    if is_workbook(data):
        sheet = read_sheet(data)
        others = f" Not read: {', '.join(sheet.others)}." if sheet.others else ""
        return list(sheet.records), (f"The sheet {sheet.name} is read.{others}",) if others else ()
    lines = split_lines(decode(data))
    first = next((line for line in lines if line.strip()), "")
    delimiter = delimiter_of(first)
    hint = DELIMITER_HINT.fullmatch(lines[0].strip())
    if hint:  # a line that spreadsheets write for each other
        lines[0], delimiter = "", hint[1]
    found = []
    for record in records(lines, delimiter):
        if record.fault or any(record.cells):
            found.append(record)
        if len(found) > MAX_ROWS + 1:
            break
    return found, ()


def _refusal(found: Sequence[Record]) -> Fault | None:
    """Why a file is not read at all."""
    if not found:
        return Fault(1, "", "", "The file is empty.", f"{BEGIN_WITH}.")
    if found[0].fault:
        return found[0].fault
    if len(found) == 1:
        return Fault(found[0].line, "", "", "The file has a header but no rows.", "Add the rows.")
    if len(found) > MAX_ROWS + 1:
        return Fault(found[-1].line, "", "", f"The file has more than {MAX_ROWS} rows.", "Split it by years.")
    return None


def _rows(header: Header, body: Sequence[Record]) -> tuple[tuple[RecordRow, ...], Reading]:
    moments = [header.columns[key].index for key in ("from", "to") if key in header.columns]
    cells = (
        (record.line, " ".join(unescaped(record.cells[at]).split()))
        for record in body
        for at in moments
        if at < len(record.cells)
    )
    reading = Reading(header, order_of(cells))
    rows: list[RecordRow] = []
    for record in body:
        if len(reading.faults) >= MOST_FAULTS:
            remedy = "Correct these first; they may have one cause."
            reading.faults.append(Fault(record.line, "", "", "From here on the file was not read.", remedy))
            break
        row = _row(record, reading)
        if row is not None:
            rows.append(row)
    return tuple(rows), reading


def _row(record: Record, reading: Reading) -> RecordRow | None:
    faults_before = len(reading.faults)
    misshapen = record.fault or _misshapen(record, reading.header)
    if misshapen is not None:
        reading.faults.append(misshapen)
        return None
    cells = _Cells(record, reading)
    year, spans = _year(cells)
    where = _where(cells)
    begun, ended = (_moment(cells, key, year) for key in ("from", "to"))
    problem, is_sure = _problem(cells)
    is_empty = is_nothing(cells.text("crop")) and not cells.text("family")
    is_fallow = is_empty and not problem
    what = None if is_empty else _what(cells, wanted=not problem)
    row = RecordRow(
        record.line, year, where, begun, ended, what,
        variety=cells.short("variety", LONGEST_VARIETY),
        failed=_yes(cells, "failed"),
        problem=problem,
        is_sure=is_sure,
        note=cells.short("note", LONGEST_NOTE),
        spans=spans,
    )  # fmt: skip
    _refuse_times(cells, row)
    if len(reading.faults) > faults_before:
        reading.flawed.append(row)
        return None
    if is_fallow:
        reading.fallow += 1
        return None
    if what is not None and not what.crop_key:
        reading.by_family[f"{what.name} ({what.family})"] += 1
    return row


def _misshapen(record: Record, header: Header) -> Fault | None:
    if not any(record.cells[header.width :]):
        return None
    reason = f"The row has {len(record.cells)} cells, the header has {header.width}."
    remedy = "Put quotation marks round a cell that has commas, or save the file with semicolons."
    return Fault(record.line, "", shown(" | ".join(record.cells)), reason, remedy)


def _year(cells: _Cells) -> tuple[int | None, bool]:
    text = cells.text("year")
    if not text:
        return None, False
    try:
        return read_year(text)
    except CellFault as fault:
        cells.fault("year", fault.reason, fault.remedy)
        return None, False


def _where(cells: _Cells) -> Where:
    plot = cells.short("plot", LONGEST_PLOT)
    if not plot:
        cells.fault("plot", "The plot is missing.", "Write the plot’s number.")
    lengths = {f"{key}_m": _length(cells, key) for key in LENGTHS}
    corners: Corners = ()
    if cells.text("corners"):
        try:
            corners = read_corners(cells.text("corners"))
        except CellFault as fault:
            cells.fault("corners", fault.reason, fault.remedy)
    return Where(plot, cells.text("bed"), cells.text("part"), corners, **lengths)


def _length(cells: _Cells, key: str) -> float | None:
    text = cells.text(key)
    if not text:
        return None
    try:
        return read_length(text, cells.reading.header.columns[key].unit_m)
    except CellFault as fault:
        cells.fault(key, fault.reason, fault.remedy)
        return None


def _moment(cells: _Cells, key: str, year: int | None) -> Moment | None:
    text = cells.text(key)
    if not text or text in {"-", "–", "?"}:
        return None
    try:
        moment, is_month = read_moment(text, cells.reading.order, year=year)
    except CellFault as fault:
        cells.fault(key, fault.reason, fault.remedy)
        return None
    cells.reading.months += is_month
    if moment.stands and key == "from":
        cells.fault(key, "The first day cannot be now.", "Write the day, or leave the cell empty.")
    return moment


def _what(cells: _Cells, *, wanted: bool) -> What | None:
    text = cells.text("crop")
    if cells.text("family"):
        return _of_family(cells, text)
    if not text:
        if wanted:
            cells.fault("crop", "Neither a crop nor a problem stands in this row.", "Write what grew.")
        return None
    try:
        return read_crop(cells.raw("crop") if "\n" in cells.raw("crop") else text)
    except CellFault as fault:
        cells.fault("crop", fault.reason, fault.remedy)
        return None


def _of_family(cells: _Cells, name: str) -> What | None:
    """Whatever has a family of its own column is kept by it, under the name that the crop cell has."""
    cells.short("crop", LONGEST_NAME)
    try:
        return read_with_family(name, cells.text("family"))
    except CellFault as fault:
        cells.fault("family", fault.reason, fault.remedy)
        return None


def _problem(cells: _Cells) -> tuple[str, bool]:
    text, is_marked_sure = cells.text("problem"), _yes(cells, "sure")
    if not text or is_nothing(text):
        return "", False
    try:
        key, said = read_problem(text)
    except CellFault as fault:
        cells.fault("problem", fault.reason, fault.remedy)
        return "?", False
    return key, is_marked_sure if cells.text("sure") else bool(said)


def _yes(cells: _Cells, key: str) -> bool:
    try:
        return read_yes(cells.text(key))
    except CellFault as fault:
        cells.fault(key, fault.reason, fault.remedy)
        return False


def _refuse_times(cells: _Cells, row: RecordRow) -> None:
    """Rows without any time, and ends before their beginnings."""
    begun, ended = row.begun, row.ended
    has_time = row.year or (begun and (begun.day or begun.year)) or (ended and ended.day)
    if not has_time and not (cells.text("year") or cells.text("from") or cells.text("to")):
        cells.fault("year", "Neither a year nor a day stands in this row.", "Write the year, like 2019.")
    if begun and ended and begun.day and ended.day and ended.day < begun.day:
        reason = f"It ends on {ended.day}, before it begins on {begun.day}."
        cells.fault("to", reason, "Check whether the two days are swapped.")


def _remarks(reading: Reading) -> list[str]:
    remarks = [reading.order.words] if reading.order.words else []
    if reading.months:
        remarks.append(f"{_cells(reading.months)} a month and no day: its year is kept, the day stays open.")
    if reading.fallow:
        rows = "1 row says" if reading.fallow == 1 else f"{reading.fallow} rows say"
        remarks.append(f"{rows} that nothing grew. Nothing is kept for that.")
    if reading.by_family:
        named = [
            f"{name} in {count} row{'' if count == 1 else 's'}"
            for name, count in reading.by_family.most_common(MOST_NAMED)
        ]
        more = len(reading.by_family) - len(named)
        listed = "; ".join([*named, f"and {more} more names"] if more else named)
        remarks.append(f"Kept by the family, as they are no one crop of the list: {listed}.")
    return remarks


def _cells(count: int) -> str:
    return "1 cell says" if count == 1 else f"{count} cells say"
