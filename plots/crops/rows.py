"""Rows of a packaged data file, each knowing where it stands so that a fault can be found."""

import csv
import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path


class CropDataFault(ValueError):
    """A data file is wrong; ``file``, ``row`` (line, header = 1) and ``column`` say where."""

    def __init__(self, file: str, row: int, column: str, problem: str) -> None:
        self.file = file
        self.row = row
        self.column = column
        super().__init__(f"{file}, row {row}, column {column}: {problem}")


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a data file."""

    file: str
    line: int
    cells: dict[str, str]

    def fault(self, column: str, problem: str) -> CropDataFault:
        return CropDataFault(self.file, self.line, column, problem)

    def text(self, column: str) -> str:
        """Return the cell, which must not be empty."""
        if not self.cells[column]:
            raise self.fault(column, "the cell is empty; a value is needed")
        return self.cells[column]

    def number(self, column: str) -> float:
        """Return the cell as a finite number."""
        return self.as_number(column, self.text(column))

    def number_or_none(self, column: str) -> float | None:
        return self.number(column) if self.cells[column] else None

    def as_number(self, column: str, text: str) -> float:
        """Return ``text``, found in ``column``, as a finite number."""
        try:
            value = float(text)
        except ValueError:
            raise self.fault(column, f"{text!r} is not a number") from None
        if not math.isfinite(value):
            raise self.fault(column, f"{text!r} is not a finite number")
        return value

    def choice(self, column: str, choices: tuple[str, ...]) -> str:
        """Return the cell, which must be one of ``choices``."""
        value = self.text(column)
        if value not in choices:
            raise self.fault(column, f"{value!r} is not one of {', '.join(choices)}")
        return value


def read_rows(path: Path, columns: tuple[str, ...]) -> Iterator[Row]:
    """Yield the rows of a comma-separated file whose header must be exactly ``columns``."""
    if not path.is_file():
        raise CropDataFault(path.name, 1, columns[0], "the file is missing")
    with path.open(encoding="utf-8", newline="") as file:
        lines = csv.reader(file)
        header = next(lines, [])
        if tuple(header) != columns:
            raise CropDataFault(path.name, 1, "header", f"must read {','.join(columns)}")
        for cells in lines:
            if len(cells) != len(columns):
                problem = f"{len(cells)} cells where the header has {len(columns)}"
                raise CropDataFault(path.name, lines.line_num, columns[0], problem)
            yield Row(path.name, lines.line_num, dict(zip(columns, map(str.strip, cells), strict=True)))


def read_unique(path: Path, columns: tuple[str, ...], keys: tuple[str, ...]) -> Iterator[Row]:
    """Yield the rows, refusing a second one with the same ``keys``."""
    seen: dict[tuple[str, ...], int] = {}
    for row in read_rows(path, columns):
        key = tuple(row.text(column) for column in keys)
        if key in seen:
            raise row.fault(keys[-1], f"{' '.join(key)} is already given on row {seen[key]}")
        seen[key] = row.line
        yield row
