"""How long each family is kept off the same ground, read from the packaged table and checked line by line."""

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from plots.crops.facts import Basis

DATA_FILE = Path(__file__).parent / "data" / "rest.csv"
COLUMNS = (
    "family",
    "family_name",
    "minimum_seasons",
    "recommended_seasons",
    "stated_as",
    "reading",
    "basis",
    "source",
    "dispute",
)
MAY_BE_EMPTY = frozenset({"dispute"})

# What a stated number N leaves as full growing seasons between two crops.
SEASONS_LESS_THAN_STATED = {"seasons between": 0, "1 in N": 1, "N-year rotation": 1, "N years without": 0}

LONGEST_REST_SEASONS = 30


class RestDataFault(ValueError):
    """A line of the rest table cannot be used; says which file, line and column, and what to put there."""

    def __init__(self, file: str, line: int, column: str, reason: str) -> None:
        self.file, self.line, self.column, self.reason = file, line, column, reason
        super().__init__(f"{file}, line {line}, column {column!r}: {reason}")


@dataclass(frozen=True, slots=True)
class RestRule:
    """Full growing seasons a family stays off the same ground, and the published words behind them.

    ``dispute`` says where other sources disagree, empty where none was found.
    """

    family: str
    minimum_seasons: int
    recommended_seasons: int
    stated_as: str
    reading: str
    basis: Basis
    source: str
    family_name: str = ""
    dispute: str = ""


@cache
def rest_rules() -> Mapping[str, RestRule]:
    """Return the packaged rules by family; a family that is not among them has no published rest on file."""
    return read_rest_rules(DATA_FILE.read_text(encoding="utf-8"), file=DATA_FILE.name)


def read_rest_rules(text: str, *, file: str = "rest.csv") -> Mapping[str, RestRule]:
    """Read a rest table; a fault stops it whole, since half a table would call tired ground rested."""
    reader = csv.DictReader(io.StringIO(text), strict=True)
    if tuple(reader.fieldnames or ()) != COLUMNS:
        raise RestDataFault(file, 1, "header", f"the columns must be {', '.join(COLUMNS)}, in this order")
    rules: dict[str, RestRule] = {}
    for line, row in _rows(reader, file):
        rule = _rule(row, file, line)
        if rule.family in rules:
            raise RestDataFault(file, line, "family", f"{rule.family} stands twice; keep one line")
        rules[rule.family] = rule
    if not rules:
        raise RestDataFault(file, 1, "family", "the table has no lines; add one line a family")
    return MappingProxyType(rules)


def _rows(reader: "csv.DictReader[str]", file: str) -> Iterator[tuple[int, dict[str | Any, str | Any]]]:
    try:
        for row in reader:
            yield reader.line_num, row
    except csv.Error as fault:
        # DictReader's own count is only moved on by a row that it could split.
        line = reader.reader.line_num
        raise RestDataFault(file, line, "family", f"cannot be split into cells: {fault}") from None


def _rule(row: Mapping[str | Any, str | Any], file: str, line: int) -> RestRule:
    if None in row or None in row.values():
        raise RestDataFault(file, line, "family", f"needs {len(COLUMNS)} cells; quote a text that has commas")
    cells = {str(column): str(value).strip() for column, value in row.items()}
    for column in COLUMNS:
        if not cells[column] and column not in MAY_BE_EMPTY:
            raise RestDataFault(file, line, column, "is empty; every line fills this column")
    if cells["basis"] not in set(Basis):
        raise RestDataFault(file, line, "basis", f"must be one of {', '.join(Basis)}")
    minimum = seasons_read(cells, "minimum_seasons", file, line)
    recommended = seasons_read(cells, "recommended_seasons", file, line)
    if recommended < minimum:
        raise RestDataFault(file, line, "recommended_seasons", f"is under the minimum of {minimum}")
    return RestRule(
        family=cells["family"],
        minimum_seasons=minimum,
        recommended_seasons=recommended,
        stated_as=cells["stated_as"],
        reading=cells["reading"],
        basis=Basis(cells["basis"]),
        source=cells["source"],
        family_name=cells["family_name"],
        dispute=cells["dispute"],
    )


def seasons_read(cells: Mapping[str, str], column: str, file: str, line: int) -> int:
    """Read a whole number of seasons that follows from the published words by the line's reading."""
    if cells["reading"] not in SEASONS_LESS_THAN_STATED:
        raise RestDataFault(file, line, "reading", f"must be one of {', '.join(SEASONS_LESS_THAN_STATED)}")
    text = cells[column]
    if not (text.isascii() and text.isdigit()) or not 1 <= int(text) <= LONGEST_REST_SEASONS:
        raise RestDataFault(
            file, line, column, f"{text!r} must be a whole number up to {LONGEST_REST_SEASONS}"
        )
    seasons = int(text)
    stated = seasons + SEASONS_LESS_THAN_STATED[cells["reading"]]
    if str(stated) not in re.findall(r"\d+", cells["stated_as"]):
        reading = cells["reading"]
        raise RestDataFault(
            file, line, column, f"{seasons} read as {reading!r} needs the number {stated} in stated_as"
        )
    return seasons
