"""Reading the demo's CSV tables; a fault names the file, the line, the column and the remedy."""

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

MONTH_DAY = re.compile(r"(\d\d)-(\d\d)")
DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


class LayoutFault(ValueError):
    """The demo's own files cannot be used as they are."""

    def __init__(self, file: str, line: int, column: str, reason: str) -> None:
        self.file, self.line, self.column, self.reason = file, line, column, reason
        super().__init__(f"{file}, line {line}, {column}: {reason}")


@dataclass(frozen=True, slots=True)
class MonthDay:
    """A day of the year that every year has."""

    month: int
    day: int


@dataclass(frozen=True, slots=True)
class Row:
    """One line of a table, its cells read on demand."""

    file: str
    line: int
    cells: Mapping[str, str]

    def fault(self, column: str, reason: str) -> LayoutFault:
        return LayoutFault(self.file, self.line, column, reason)

    def text(self, column: str) -> str:
        value = self.cells[column]
        if not value:
            raise self.fault(column, "is empty; fill it in")
        return value

    def maybe(self, column: str) -> str:
        return self.cells[column]

    def several(self, column: str) -> tuple[str, ...]:
        return tuple(part.strip() for part in self.cells[column].split(";") if part.strip())

    def number(self, column: str) -> float:
        try:
            return float(self.text(column))
        except ValueError:
            raise self.fault(column, f"{self.cells[column]!r} is not a number") from None

    def whole(self, column: str) -> int:
        try:
            return int(self.text(column))
        except ValueError:
            raise self.fault(column, f"{self.cells[column]!r} is not a whole number") from None

    def one_of(self, column: str, allowed: tuple[str, ...]) -> str:
        if self.cells[column] not in allowed:
            raise self.fault(column, f"{self.cells[column]!r} must be one of {', '.join(allowed)}")
        return self.cells[column]

    def known(self, column: str, names: Mapping[str, object], kind: str) -> str:
        """A cell that names a row of another table."""
        if self.text(column) not in names:
            raise self.fault(column, f"there is no {kind} {self.cells[column]!r}; give it its line")
        return self.cells[column]

    def month_day(self, column: str) -> MonthDay:
        return self.as_month_day(column, self.text(column))

    def month_days(self, column: str) -> tuple[MonthDay, ...]:
        return tuple(self.as_month_day(column, part) for part in self.several(column))

    def as_month_day(self, column: str, text: str) -> MonthDay:
        found = MONTH_DAY.fullmatch(text)
        month, day = (int(found[1]), int(found[2])) if found else (0, 0)
        if not (1 <= month <= 12 and 1 <= day <= DAYS_IN_MONTH[month - 1]):
            raise self.fault(column, f"{text!r} is no day that every year has; write month-day, like 04-12")
        return MonthDay(month, day)


def table(folder: Path, file: str, columns: tuple[str, ...]) -> list[Row]:
    """All rows of a table that must have exactly these columns and at least one row."""
    try:
        text = (folder / file).read_text(encoding="utf-8")
    except OSError as fault:
        raise LayoutFault(file, 0, "file", f"cannot be read: {fault.strerror}") from fault
    except UnicodeDecodeError as fault:
        raise LayoutFault(file, 0, "file", "is not UTF-8; save it as UTF-8") from fault
    rows = list(_rows(text, file, columns))
    if not rows:
        raise LayoutFault(file, 1, "file", "has no rows")
    return rows


def _rows(text: str, file: str, columns: tuple[str, ...]) -> Iterator[Row]:
    reader = csv.DictReader(io.StringIO(text), strict=True)
    if tuple(reader.fieldnames or ()) != columns:
        raise LayoutFault(file, 1, "header", f"the columns must be {', '.join(columns)}, in this order")
    for cells in reader:
        if None in cells or None in cells.values():
            raise LayoutFault(file, reader.line_num, "row", f"needs {len(columns)} cells")
        yield Row(file, reader.line_num, {name: value.strip() for name, value in cells.items()})
