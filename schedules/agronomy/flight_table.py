"""Reading the table of heat sums at which insects fly, refusing any fault with its row and column."""

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from pathlib import Path
from types import MappingProxyType

TABLE = Path(__file__).parent / "data" / "flights.csv"
COLUMNS = ("insect", "flight", "event", "sum_cd", "base_c", "upper_c", "counted_from", "basis", "source")
BASES = ("read", "partly read", "from memory", "common practice", "derived")
# How each event is called; a later flight is told apart by its number alone.
EVENTS = {
    ("1", "start"): "start",
    ("1", "busiest"): "busiest",
    ("1", "over"): "over",
    ("2", "start"): "second",
    ("2", "busiest"): "second busiest",
    ("3", "start"): "third",
    ("3", "busiest"): "third busiest",
}
DAYS_IN_MONTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


class FlightDataFault(ValueError):
    """The table of flights cannot be used; the message names its row and column."""


@dataclass(frozen=True, slots=True)
class FlightEvent:
    """One event of one flight, and the sum at which it falls.

    Parameters
    ----------
    flight : int
        1 for the flies that overwintered, 2 for their offspring, and so on.
    sum_cd : float
        Sum at which it falls, above 0. [°C day]
    base_c, upper_c : float, float or None
        Temperatures between which warmth is counted. [°C]
    starts : tuple of int
        (month, day) from which it is counted north of the equator.
    basis, source : str
        How far the figure can be relied on, and where it is printed.
    """

    flight: int
    sum_cd: float
    base_c: float
    upper_c: float | None
    starts: tuple[int, int]
    basis: str
    source: str


@dataclass(frozen=True, slots=True)
class FlightModel:
    """The flights of one insect: what happens, by name, in the order of the table."""

    insect: str
    events: Mapping[str, FlightEvent]

    @property
    def sources(self) -> Mapping[str, str]:
        return {name: event.source for name, event in self.events.items()}

    @property
    def starts(self) -> tuple[int, int]:
        """The earliest day of counting, north of the equator."""
        return min(event.starts for event in self.events.values())


@cache
def flight_models(path: Path = TABLE) -> Mapping[str, FlightModel]:
    """Read the table; raise FlightDataFault at the first fault."""
    with path.open(encoding="utf-8", newline="") as stream:
        reader = csv.DictReader(stream)
        if tuple(reader.fieldnames or ()) != COLUMNS:
            raise FlightDataFault(f"{path.name}: the first line must read {','.join(COLUMNS)}")
        rows = list(enumerate(reader, start=2))
    models: dict[str, FlightModel] = {}
    for insect, group in groupby(rows, key=lambda each: each[1]["insect"]):
        lines = list(group)
        if insect in models:
            raise FlightDataFault(
                f"{path.name}, row {lines[0][0]}, insect: the rows of {insect} must stand together"
            )
        events: dict[str, FlightEvent] = {}
        for line, cells in lines:
            name, event = _event(_Row(path.name, line, cells))
            if name in events:
                raise FlightDataFault(f"{path.name}, row {line}, event: {insect} has {name} twice")
            events[name] = event
        models[insect] = FlightModel(insect, MappingProxyType(events))
    return MappingProxyType(models)


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of the table, with its place for faults."""

    file: str
    line: int
    cells: Mapping[str, str]

    def fault(self, column: str, why: str) -> FlightDataFault:
        return FlightDataFault(f"{self.file}, row {self.line}, {column}: {why}")

    def number(self, column: str) -> float:
        try:
            value = float(self.cells[column])
        except ValueError:
            value = math.nan
        if not math.isfinite(value):
            raise self.fault(column, f"{self.cells[column]!r} is no number")
        return value

    def starts(self) -> tuple[int, int]:
        text = self.cells["counted_from"]
        month, dash, day = text.partition("-")
        is_date = dash and month.isdigit() and day.isdigit() and 1 <= int(month) <= 12
        if is_date and 1 <= int(day) <= DAYS_IN_MONTH[int(month) - 1]:
            return int(month), int(day)
        raise self.fault("counted_from", f"{text!r} is not a day of every year, written 03-01")


def _event(row: _Row) -> tuple[str, FlightEvent]:
    cells = row.cells
    name = EVENTS.get((cells["flight"], cells["event"]))
    if name is None:
        raise row.fault("event", f"{cells['event']!r} of flight {cells['flight']!r} is not a known event")
    total, base_c = row.number("sum_cd"), row.number("base_c")
    upper_c = row.number("upper_c") if cells["upper_c"] else None
    if total <= 0:
        raise row.fault("sum_cd", "a sum must be above 0")
    if upper_c is not None and upper_c <= base_c:
        raise row.fault("upper_c", f"must be above base_c, which is {base_c:g}")
    if cells["basis"] not in BASES:
        raise row.fault("basis", f"{cells['basis']!r} is not one of {', '.join(BASES)}")
    if not cells["source"]:
        raise row.fault("source", "say where the sum is printed")
    flight = int(cells["flight"])
    return name, FlightEvent(flight, total, base_c, upper_c, row.starts(), cells["basis"], cells["source"])
