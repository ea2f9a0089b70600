"""Tables as people send them: from bytes to numbered rows of cells. Pure: no Django, no clock, no files."""

from plots.tables.faults import CellFault, Fault, by_line, fault_line, shown
from plots.tables.spreadsheet import Sheet, UnreadableWorkbook, is_workbook, read_sheet
from plots.tables.table import (
    MAX_CELL,
    MAX_ROWS,
    Record,
    Undecodable,
    decode,
    delimiter_of,
    records,
    split_lines,
)

__all__ = [
    "MAX_CELL",
    "MAX_ROWS",
    "CellFault",
    "Fault",
    "Record",
    "Sheet",
    "Undecodable",
    "UnreadableWorkbook",
    "by_line",
    "decode",
    "delimiter_of",
    "fault_line",
    "is_workbook",
    "read_sheet",
    "records",
    "shown",
    "split_lines",
]
