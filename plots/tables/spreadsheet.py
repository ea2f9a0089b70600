"""From the bytes of an XLSX workbook to numbered rows of cells.

A workbook is a ZIP archive of XML. How many members it has and how large they become is looked at before
any of them is opened; nothing in it is run, and no link in it is followed.
"""

import warnings
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from io import BytesIO
from typing import Any
from zipfile import BadZipFile, ZipFile

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from plots.tables.faults import Fault, shown
from plots.tables.table import MAX_CELL, MAX_ROWS, Record

ZIP_MARK = b"PK\x03\x04"
# The container of old Excel files, and of new ones that have a password.
OLE_MARK = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
MOST_MEMBERS = 200
MOST_INFLATED_BYTES = 60_000_000
MOST_COLUMNS = 60
# Rows that are looked at, the blank ones between counted.
MOST_LINES = 2 * MAX_ROWS
ENCRYPTED_BIT = 0x1
SAVE_PLAIN = "Open it, and save the sheet as CSV or as a plain .xlsx."
UNREADABLE = (
    BadZipFile, InvalidFileException, zlib.error, EOFError, KeyError, IndexError, ValueError, TypeError,
    AttributeError, SyntaxError, NotImplementedError, OSError,
)  # fmt: skip


class UnreadableWorkbook(ValueError):
    """The bytes are no workbook that is read here; `fault` says why and what to do."""

    def __init__(self, reason: str, remedy: str = SAVE_PLAIN) -> None:
        self.fault = Fault(1, "", "", reason, remedy)
        super().__init__(f"{reason} {remedy}")


@dataclass(frozen=True, slots=True)
class Sheet:
    """The first sheet of a workbook that has rows, and the names of others that have some as well."""

    name: str
    records: tuple[Record, ...]
    others: tuple[str, ...]


def is_workbook(data: bytes) -> bool:
    """Whether the bytes are a spreadsheet's and no plain text's."""
    return data.startswith((ZIP_MARK, OLE_MARK))


def read_sheet(data: bytes) -> Sheet:
    """Read the values of the first sheet that has any, as text.

    Dates become YYYY-MM-DD, whole numbers lose their point, formulas stand as what they last came to.

    Raises
    ------
    UnreadableWorkbook
        For macros, passwords, old Excel files, other archives, and archives that grow too large.
    """
    _look_inside(data)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # what the library does not draw is no matter to its values
            book = load_workbook(BytesIO(data), read_only=True, data_only=True, keep_links=False)
            try:
                found = [(sheet.title, tuple(_records(sheet))) for sheet in book.worksheets]
            finally:
                book.close()
    except UNREADABLE as error:
        if isinstance(error, UnreadableWorkbook):
            raise
        raise UnreadableWorkbook("The workbook is damaged and cannot be read.") from error
    filled = [(name, records) for name, records in found if records]
    if not filled:
        raise UnreadableWorkbook("The workbook has no rows.", "Fill its first sheet, headings on top.")
    (name, records), *others = filled
    return Sheet(shown(name), records, tuple(shown(each) for each, _ in others))


def _look_inside(data: bytes) -> None:
    """Refuse an archive by its table of contents, before anything of it is opened."""
    if data.startswith(OLE_MARK):
        raise UnreadableWorkbook(
            "This is an old Excel file (.xls), or one with a password.",
            "Take the password off, and save it as .xlsx or CSV.",
        )
    try:
        with ZipFile(BytesIO(data)) as archive:
            members = archive.infolist()
            _refuse_contents(archive, members)
    except UNREADABLE as error:
        if isinstance(error, UnreadableWorkbook):
            raise
        raise UnreadableWorkbook("The file is damaged: its parts cannot be told apart.") from error


def _refuse_contents(archive: ZipFile, members: list[Any]) -> None:
    names = {each.filename.casefold() for each in members}
    if len(members) > MOST_MEMBERS:
        raise UnreadableWorkbook(f"The workbook has more than {MOST_MEMBERS} parts.")
    if sum(each.file_size for each in members) > MOST_INFLATED_BYTES:
        raise UnreadableWorkbook(
            f"Unpacked, the workbook is larger than {MOST_INFLATED_BYTES // 1_000_000} MB.",
            "Take out sheets and pictures that are not needed, or split it.",
        )
    if any(each.flag_bits & ENCRYPTED_BIT for each in members):
        raise UnreadableWorkbook("The workbook has a password.", "Take the password off first.")
    if any(name.endswith("vbaproject.bin") for name in names):
        raise UnreadableWorkbook(
            "The workbook has macros in it, and files with programs are not taken.",
            "Save it as .xlsx, without macros, or as CSV.",
        )
    if "xl/workbook.xml" not in names:
        raise UnreadableWorkbook("This is an archive and no .xlsx workbook.", "Save it as .xlsx or CSV.")
    for each in members:
        if each.filename.endswith((".xml", ".rels")) and b"<!DOCTYPE" in archive.read(each):
            raise UnreadableWorkbook("The workbook defines words of its own in its XML, which is not read.")


def _records(sheet: Any) -> Iterator[Record]:
    sheet.reset_dimensions()  # what a file says of its size need not be so
    count = 0
    rows = sheet.iter_rows(max_col=MOST_COLUMNS, values_only=True)
    for line, row in enumerate(rows, start=1):
        cells = tuple(_text(value) for value in row)
        if not any(cells):
            continue
        if line > MOST_LINES:
            raise UnreadableWorkbook(
                f"In the sheet {shown(sheet.title)} something stands as far down as row {line}.",
                "Take out the blank rows above it, or what stands there.",
            )
        count += 1
        yield _measured(line, cells)
        if count > MAX_ROWS + 1:
            return


def _measured(line: int, cells: tuple[str, ...]) -> Record:
    for cell in cells:
        if len(cell) > MAX_CELL:
            reason = f"A cell is longer than {MAX_CELL} characters."
            return Record(line, (), Fault(line, "", shown(cell), reason, "Shorten or empty it."))
    while cells and not cells[-1]:
        cells = cells[:-1]
    return Record(line, cells)


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    return str(value).strip()
