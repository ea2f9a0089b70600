"""Tables as people send them: from bytes to numbered rows of cells. Pure: no Django, no clock, no files."""

from plots.tables.faults import CellFault, Fault, by_line, fault_line, shown
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
    "Undecodable",
    "by_line",
    "decode",
    "delimiter_of",
    "fault_line",
    "records",
    "shown",
    "split_lines",
]
