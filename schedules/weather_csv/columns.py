"""What the header says: which column holds what, in which unit. A unit is stated, never guessed."""

import re
from dataclasses import dataclass

from plots.tables import Fault, shown


@dataclass(frozen=True, slots=True)
class Unit:
    """`(value - zero) * numerator / denominator` gives °C, mm or m/s."""

    key: str
    numerator: float = 1.0
    denominator: float = 1.0
    zero: float = 0.0

    def to_metric(self, value: float) -> float:
        return (value - self.zero) * self.numerator / self.denominator


CELSIUS, FAHRENHEIT = Unit("c"), Unit("f", 5.0, 9.0, 32.0)
MILLIMETRES, INCHES = Unit("mm"), Unit("in", 25.4)
# Exact by definition: inch 25.4 mm, statute mile 1609.344 m, international nautical mile 1852 m.
METRES_PER_SECOND, KILOMETRES_PER_HOUR = Unit("ms"), Unit("kmh", 1.0, 3.6)
MILES_PER_HOUR, KNOTS = Unit("mph", 1609.344, 3600.0), Unit("kn", 1852.0, 3600.0)

TEMPERATURE = {"c": CELSIUS, "°c": CELSIUS, "celsius": CELSIUS, "f": FAHRENHEIT, "°f": FAHRENHEIT}
TEMPERATURE |= {"fahrenheit": FAHRENHEIT}
RAIN = {"mm": MILLIMETRES, "in": INCHES, "inch": INCHES, "inches": INCHES}
WIND = {
    "ms": METRES_PER_SECOND,
    "m/s": METRES_PER_SECOND,
    "kmh": KILOMETRES_PER_HOUR,
    "km/h": KILOMETRES_PER_HOUR,
}
WIND |= {"mph": MILES_PER_HOUR, "kn": KNOTS, "kt": KNOTS, "knots": KNOTS}
UNITS = {"tmin": TEMPERATURE, "tmax": TEMPERATURE, "rain": RAIN, "wind": WIND}

# Units somebody may well write but that this reader does not convert; any other ending names another column.
FOREIGN_UNITS = {"k", "kelvin", "cm", "m", "l", "ft", "bft", "beaufort", "fps", "ft/s", "kph", "mps"}
NAME = re.compile(
    r"(?P<quantity>tmin|tmax|rain|wind)(?:\s*[(\[](?P<bracket>[^)\]]*)[)\]]|[_ ](?P<plain>.+))?"
)
NO_NAME = "(no name)"


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is read; `unit` is None for the key column and where the header states none."""

    index: int
    name: str
    quantity: str
    unit: Unit | None = None


@dataclass(frozen=True, slots=True)
class Header:
    line: int
    columns: dict[str, Column]
    width: int
    ignored: tuple[str, ...]
    faults: tuple[Fault, ...]


def spellings(quantity: str) -> str:
    """The ways to write a column with its unit: "rain_mm or rain_in"."""
    keys = list(dict.fromkeys(unit.key for unit in UNITS[quantity].values()))
    names = [f"{quantity}_{key}" for key in keys]
    return f"{', '.join(names[:-1])} or {names[-1]}"


def read_header(line: int, cells: tuple[str, ...], *, key: str) -> Header:
    """Match every heading; `key` is the column that names the row, "date" or "month"."""
    columns: dict[str, Column] = {}
    ignored: list[str] = []
    faults: list[Fault] = []
    for index, name in enumerate(cells):
        column, fault = _column(index, name, key, line)
        if fault:
            faults.append(fault)
        if column is None:
            ignored.append(shown(name) or NO_NAME)
        elif column.quantity in columns:
            faults.append(_repeated(line, column, columns[column.quantity]))
        else:
            columns[column.quantity] = column
    faults += _absent(line, columns, key)
    return Header(line, columns, len(cells), tuple(ignored), tuple(faults))


def _column(index: int, name: str, key: str, line: int) -> tuple[Column | None, Fault | None]:
    folded = name.casefold()
    if folded == key:
        return Column(index, name, key), None
    match = NAME.fullmatch(folded)
    if match is None:
        return None, None
    quantity, bracket, plain = match["quantity"], match["bracket"], match["plain"]
    stated = (bracket if bracket is not None else plain or "").strip()
    unit = UNITS[quantity].get(stated)
    if unit is None and plain is not None and stated not in FOREIGN_UNITS:
        return None, None
    column = Column(index, shown(name), quantity, unit)
    return column, None if unit else _without_unit(line, column, stated)


def _without_unit(line: int, column: Column, stated: str) -> Fault:
    reason = f"The unit {shown(stated)!r} is not known." if stated else "The column does not state its unit."
    return Fault(line, column.name, column.name, reason, f"Name the column {spellings(column.quantity)}.")


def _repeated(line: int, column: Column, first: Column) -> Fault:
    reason = f"{column.quantity} appears twice, in columns {first.index + 1} and {column.index + 1}."
    return Fault(line, column.name, column.name, reason, "Take one of the two columns out.")


def _absent(line: int, columns: dict[str, Column], key: str) -> list[Fault]:
    faults = []
    if key not in columns:
        faults.append(Fault(line, key, "", f"There is no {key} column.", f"Name one column {key}."))
    for quantity in ("tmin", "tmax"):
        if quantity not in columns:
            remedy = f"Add a column {spellings(quantity)}."
            faults.append(Fault(line, quantity, "", f"There is no {quantity} column.", remedy))
    return faults
