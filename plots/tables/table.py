"""From bytes to numbered rows of cells."""

import csv
from collections.abc import Iterator
from dataclasses import dataclass

from plots.tables.faults import Fault, shown

MAX_ROWS = 20_000
MAX_CELL = 1_000
DELIMITERS = (",", ";", "\t")
# A quoted note may run over a few lines; more than this is a quotation mark somebody forgot to close.
MAX_LINES_IN_ROW = 10


class Undecodable(ValueError):
    """The bytes are no text this reader knows; `fault` says where and what to do."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(f"line {fault.line}: {fault.reason} {fault.remedy}")
        self.fault = fault


@dataclass(frozen=True, slots=True)
class Record:
    """One row of cells, or the reason why there is none."""

    line: int
    cells: tuple[str, ...]
    fault: Fault | None = None


def decode(data: bytes) -> str:
    """UTF-8 (with or without its mark), else Windows-1252.

    Raises
    ------
    Undecodable
        For UTF-16 and other binary content, and for bytes that Windows-1252 leaves undefined.
    """
    nul = data.find(b"\0")
    if nul >= 0:
        raise Undecodable(
            _unreadable(data, nul, "This is not plain text (it may be UTF-16 or a spreadsheet).")
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    try:
        return data.decode("cp1252")
    except UnicodeDecodeError as error:
        reason = "The text is neither UTF-8 nor Windows-1252."
        raise Undecodable(_unreadable(data, error.start, reason)) from error


def _unreadable(data: bytes, at: int, reason: str) -> Fault:
    line = len(split_lines(data[:at].decode("latin-1")))
    return Fault(line, "", f"byte {data[at]:#04x}", reason, "Save the file as CSV in UTF-8.")


def split_lines(text: str) -> list[str]:
    """As an editor counts them; str.splitlines would also break at form feeds and the like."""
    return text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n").split("\n")


def delimiter_of(header: str) -> str:
    return max(DELIMITERS, key=header.count)


def records(lines: list[str], delimiter: str) -> Iterator[Record]:
    """Every row that is not blank, the header first."""
    at = 0
    while at < len(lines):
        if not lines[at].strip():
            at += 1
            continue
        record, taken = _record(lines, at, delimiter)
        yield record
        at += taken


def _record(lines: list[str], at: int, delimiter: str) -> tuple[Record, int]:
    text = lines[at]
    taken = 1
    while True:
        try:
            cells = next(csv.reader([text], delimiter=delimiter, strict=True))
        except csv.Error as error:
            open_quote = "end of data" in str(error)
            if (
                not open_quote
                or taken == MAX_LINES_IN_ROW
                or at + taken == len(lines)
                or len(text) > MAX_CELL
            ):
                return Record(at + 1, (), _unparsed(at + 1, lines[at], str(error))), 1
            text += "\n" + lines[at + taken]
            taken += 1
        else:
            return _measured(at + 1, cells), taken


def _unparsed(line: int, text: str, error: str) -> Fault:
    if "field larger" in error:
        return _too_long(line, text)
    reason = "A quotation mark is out of place or never closed."
    return Fault(
        line, "", shown(text), reason, 'Take out the quotation mark ", or close it at the end of the cell.'
    )


def _measured(line: int, cells: list[str]) -> Record:
    for cell in cells:
        if len(cell) > MAX_CELL:
            return Record(line, (), _too_long(line, cell))
    return Record(line, tuple(cell.strip() for cell in cells))


def _too_long(line: int, text: str) -> Fault:
    return Fault(
        line, "", shown(text), f"A cell is longer than {MAX_CELL} characters.", "Shorten or empty it."
    )
