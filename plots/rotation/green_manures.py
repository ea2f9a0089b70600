"""Common green manures and the families that they belong to, from the packaged table."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType

from plots.crops.facts import Basis
from plots.rotation.rest_rules import RestDataFault

DATA_FILE = Path(__file__).parent / "data" / "green_manures.csv"
COLUMNS = ("key", "name", "botanical_name", "family", "basis", "source")


@dataclass(frozen=True, slots=True)
class GreenManure:
    """A plant that is sown to be dug in. It counts for the rest of its family like any crop of it."""

    key: str
    name: str
    botanical_name: str
    family: str
    basis: Basis
    source: str


@cache
def green_manures() -> Mapping[str, GreenManure]:
    """Return the packaged green manures by key."""
    return read_green_manures(DATA_FILE.read_text(encoding="utf-8"), file=DATA_FILE.name)


def read_green_manures(text: str, *, file: str = "green_manures.csv") -> Mapping[str, GreenManure]:
    """Read a table of green manures; a fault stops it whole and names the line and the column."""
    reader = csv.DictReader(io.StringIO(text), strict=True)
    if tuple(reader.fieldnames or ()) != COLUMNS:
        raise RestDataFault(file, 1, "header", f"the columns must be {', '.join(COLUMNS)}, in this order")
    found: dict[str, GreenManure] = {}
    for row in reader:
        line = reader.line_num
        if None in row or None in row.values():
            raise RestDataFault(
                file, line, "key", f"needs {len(COLUMNS)} cells; quote a text that has commas"
            )
        cells = {column: value.strip() for column, value in row.items()}
        for column in COLUMNS:
            if not cells[column]:
                raise RestDataFault(file, line, column, "is empty; every line fills every column")
        if cells["basis"] not in set(Basis):
            raise RestDataFault(file, line, "basis", f"must be one of {', '.join(Basis)}")
        if not (cells["family"].istitle() and cells["family"].endswith("aceae")):
            raise RestDataFault(file, line, "family", f"{cells['family']!r} is no family, like Brassicaceae")
        if cells["key"] in found:
            raise RestDataFault(file, line, "key", f"{cells['key']} stands twice; keep one line")
        found[cells["key"]] = GreenManure(**{**cells, "basis": Basis(cells["basis"])})  # type: ignore[arg-type]
    return MappingProxyType(found)
