"""What the header says: which column holds what. Any order, and the plain words that people use."""

import re
from dataclasses import dataclass

from plots.tables import Fault, shown

# The name that an export writes, and what else it may be called.
NAMES: dict[str, tuple[str, ...]] = {
    "year": ("season", "growing year", "year season", "season year", "years"),
    "plot": ("plot number", "plot no", "plots", "no", "number", "holding"),
    "bed": ("bed or corner", "bed corner", "bed part", "place", "where", "bed name", "bed number", "bed no"),
    "part": ("corner", "which part", "part of bed", "part of the bed"),
    "from": ("sown", "sown on", "planted", "planted on", "start", "begin", "since", "sowing date"),
    "to": ("until", "till", "end", "cleared", "cleared on", "lifted", "lifted on", "harvested", "ended"),
    "crop": ("what", "plant", "vegetable", "grown", "crop or family", "crop family", "crops"),
    "family": ("botanical family",),
    "variety": ("cultivar", "sort"),
    "failed": ("came to nothing", "failure"),
    "problem": ("problems", "disease", "pest", "pest or disease", "pest disease", "trouble"),
    "sure": ("certain", "confirmed"),
    "note": ("notes", "remark", "remarks", "comment", "comments"),
    "corners": ("outline",),
    "length": (),
    "width": ("breadth",),
    "along": (),
    "across": (),
}
LENGTHS = ("length", "width", "along", "across")
# Exact by definition: foot 0.3048 m.
UNITS_M = {
    "m": 1.0, "metre": 1.0, "metres": 1.0, "meter": 1.0, "meters": 1.0, "cm": 0.01, "ft": 0.3048,
    "foot": 0.3048, "feet": 0.3048,
}  # fmt: skip
NO_NAME = "(no name)"


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is read; ``unit_m`` is what one of its units comes to in metres, where it says so."""

    index: int
    name: str
    key: str
    unit_m: float | None = None


@dataclass(frozen=True, slots=True)
class Header:
    line: int
    columns: dict[str, Column]
    width: int
    ignored: tuple[str, ...]
    faults: tuple[Fault, ...]


def read_header(line: int, cells: tuple[str, ...]) -> Header:
    """Match every heading; what nobody asked for is left out and named."""
    columns: dict[str, Column] = {}
    ignored: list[str] = []
    faults: list[Fault] = []
    for index, name in enumerate(cells):
        column = _column(index, name)
        if column is None:
            if name:
                ignored.append(shown(name))
        elif column.key in columns:
            first = columns[column.key]
            reason = f"{column.key} appears twice, in columns {first.index + 1} and {index + 1}."
            faults.append(Fault(line, column.name, column.name, reason, "Take one of the two columns out."))
        else:
            columns[column.key] = column
    faults += _absent(line, columns)
    return Header(line, columns, len(cells), tuple(ignored), tuple(faults))


def _column(index: int, name: str) -> Column | None:
    words = re.sub(r"[\s_.()\[\],:#/&-]+", " ", name.casefold()).strip()
    found = _key_of(words)
    if found:
        return Column(index, shown(name), found)
    head, _, unit = words.rpartition(" ")
    key = _key_of(head)
    if key in LENGTHS and unit in UNITS_M:
        return Column(index, shown(name), key, UNITS_M[unit])
    return None


def _key_of(words: str) -> str:
    return next((key for key, others in NAMES.items() if words == key or words in others), "")


def _absent(line: int, columns: dict[str, Column]) -> list[Fault]:
    faults = []
    if "plot" not in columns:
        reason = "There is no column that says which plot."
        faults.append(Fault(line, "plot", "", reason, "Name one column plot."))
    if "year" not in columns and "from" not in columns:
        reason = "There is no column that says when."
        faults.append(Fault(line, "year", "", reason, "Name one column year, or one from."))
    if "crop" not in columns and "problem" not in columns:
        reason = "There is no column that says what grew."
        faults.append(Fault(line, "crop", "", reason, "Name one column crop."))
    return faults
