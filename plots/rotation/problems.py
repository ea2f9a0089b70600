"""Problems of the ground that lengthen a rest where they were seen, from the packaged table."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from types import MappingProxyType

from shapely.geometry import Polygon

from plots.crops import crops
from plots.crops.facts import Basis
from plots.rotation.ground import Outline, outline_polygon
from plots.rotation.rest_rules import RestDataFault, RestRule, seasons_read

DATA_FILE = Path(__file__).parent / "data" / "problems.csv"
COLUMNS = (
    "key",
    "name",
    "hosts",
    "minimum_seasons",
    "recommended_seasons",
    "stated_as",
    "reading",
    "basis",
    "source",
    "dispute",
    "advice",
    "is_carried_on_soil",
)
MAY_BE_EMPTY = frozenset({"dispute", "advice"})


@dataclass(frozen=True, slots=True)
class Problem:
    """A pest or disease of the ground.

    ``hosts`` are families and crop keys that it lives on. ``rest`` holds where it was seen. ``advice`` says
    what keeps it from spreading, ``is_carried_on_soil`` whether boots and tools do.
    """

    key: str
    name: str
    hosts: frozenset[str]
    rest: RestRule
    advice: str
    is_carried_on_soil: bool

    def lives_on(self, crop_key: str, family: str) -> bool:
        return crop_key in self.hosts or family in self.hosts


@dataclass(frozen=True)
class Sighting:
    """A problem seen on a piece of ground in a season; ``is_sure`` once somebody confirmed it.

    ``vessel`` names the container in whose mix it was seen, empty for the ground itself.
    """

    key: str
    outline: Outline = field(repr=False)
    problem: str
    season: int
    is_sure: bool
    vessel: str = ""
    polygon: Polygon = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if self.problem not in problems():
            raise ValueError(f"{self.key}: problem {self.problem!r} is not on file")
        object.__setattr__(self, "polygon", outline_polygon(self.key, self.outline))


@cache
def problems() -> Mapping[str, Problem]:
    """Return the packaged problems by key."""
    return read_problems(DATA_FILE.read_text(encoding="utf-8"), file=DATA_FILE.name)


def read_problems(text: str, *, file: str = "problems.csv") -> Mapping[str, Problem]:
    """Read a table of problems; a fault stops it whole and names the line and the column."""
    reader = csv.DictReader(io.StringIO(text), strict=True)
    if tuple(reader.fieldnames or ()) != COLUMNS:
        raise RestDataFault(file, 1, "header", f"the columns must be {', '.join(COLUMNS)}, in this order")
    found: dict[str, Problem] = {}
    for row in reader:
        line = reader.line_num
        problem = _problem(row, file, line)
        if problem.key in found:
            raise RestDataFault(file, line, "key", f"{problem.key} stands twice; keep one line")
        found[problem.key] = problem
    return MappingProxyType(found)


def _problem(row: Mapping[str, str], file: str, line: int) -> Problem:
    if None in row or None in row.values():
        raise RestDataFault(file, line, "key", f"needs {len(COLUMNS)} cells; quote a text that has commas")
    cells = {column: value.strip() for column, value in row.items()}
    for column in COLUMNS:
        if not cells[column] and column not in MAY_BE_EMPTY:
            raise RestDataFault(file, line, column, "is empty; every line fills this column")
    if cells["is_carried_on_soil"] not in {"yes", "no"}:
        raise RestDataFault(file, line, "is_carried_on_soil", "must be yes or no")
    if cells["basis"] not in set(Basis):
        raise RestDataFault(file, line, "basis", f"must be one of {', '.join(Basis)}")
    minimum = seasons_read(cells, "minimum_seasons", file, line)
    recommended = seasons_read(cells, "recommended_seasons", file, line)
    if recommended < minimum:
        raise RestDataFault(file, line, "recommended_seasons", f"is under the minimum of {minimum}")
    rest = RestRule(
        family=cells["key"],
        minimum_seasons=minimum,
        recommended_seasons=recommended,
        stated_as=cells["stated_as"],
        reading=cells["reading"],
        basis=Basis(cells["basis"]),
        source=cells["source"],
        family_name=cells["name"],
        dispute=cells["dispute"],
    )
    hosts = frozenset(cells["hosts"].split(";"))
    unknown = sorted(hosts - _kinds())
    if unknown:
        raise RestDataFault(file, line, "hosts", f"{', '.join(unknown)}: no family or key of a crop on file")
    return Problem(
        key=cells["key"],
        name=cells["name"],
        hosts=hosts,
        rest=rest,
        advice=cells["advice"],
        is_carried_on_soil=cells["is_carried_on_soil"] == "yes",
    )


def _kinds() -> set[str]:
    return {kind for crop in crops() for kind in (crop.key, crop.family)}
