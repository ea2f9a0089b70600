"""The checks every row of values goes through, for days and for monthly normals alike."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from plots.tables import CellFault, Fault, shown
from schedules.agronomy.climate.quality import POSSIBLE
from schedules.weather_csv.cells import read_number
from schedules.weather_csv.columns import UNITS, Column, Header

METRIC = {"tmin": "°C", "tmax": "°C", "rain": "mm", "wind": "m/s"}


@dataclass(frozen=True, slots=True)
class Limits:
    """Lowest and highest value believed, in °C, mm or m/s."""

    lowest: float
    highest: float


DAY_LIMITS = {
    "tmin": Limits(*POSSIBLE["tmin_c"]),
    "tmax": Limits(*POSSIBLE["tmax_c"]),
    "rain": Limits(*POSSIBLE["rain_mm"]),
    "wind": Limits(*POSSIBLE["wind_ms"]),
}


@dataclass(slots=True)
class Values:
    """What one row holds, in metric units where the header states a unit, and what is wrong with it.

    ``set_aside`` holds what reads well and lies beyond the limits: a gap among the numbers, and no fault.
    """

    numbers: dict[str, float | None]
    faults: list[Fault]
    set_aside: dict[str, float] = field(default_factory=dict)

    def get(self, quantity: str) -> float | None:
        return self.numbers.get(quantity)


class _Beyond(CellFault):
    """A number beyond the limits."""

    def __init__(self, value: float, reason: str, remedy: str) -> None:
        super().__init__(reason, remedy)
        self.value = value


def read_values(
    line: int,
    cells: tuple[str, ...],
    header: Header,
    limits: Mapping[str, Limits],
    *,
    sets_aside: bool = False,
) -> Values:
    """Read all value cells of a row; every fault in it is found, not just the first.

    A number beyond the limits is a fault, or with ``sets_aside`` a gap.
    """
    values = Values({}, [])
    wanted = [header.columns[quantity] for quantity in UNITS if quantity in header.columns]
    for column in sorted(wanted, key=lambda column: column.index):
        text = cells[column.index]
        try:
            values.numbers[column.quantity] = _value(text, column, limits[column.quantity]) if text else None
        except CellFault as fault:
            if sets_aside and isinstance(fault, _Beyond):
                values.set_aside[column.quantity] = fault.value
            else:
                values.faults.append(Fault(line, column.name, shown(text), fault.reason, fault.remedy))
    if wanted and not any(cells[column.index] for column in wanted):
        values.faults.append(
            Fault(line, "", "", "The row holds no values.", "Fill it in, or take the row out.")
        )
    values.faults += _crossed(line, cells, header, values)
    return values


def _value(text: str, column: Column, limits: Limits) -> float:
    number = read_number(text)
    if column.unit is None:
        # Below nothing is wrong in any unit of rain or wind.
        if limits.lowest == 0 and number < 0:
            raise CellFault(
                f"{column.quantity} cannot be below 0.", "Correct the value, or leave the cell empty."
            )
        return number
    value = column.unit.to_metric(number)
    if not limits.lowest <= value <= limits.highest:
        metric = METRIC[column.quantity]
        reason = f"{value:.10g} {metric} is outside {limits.lowest:g} to {limits.highest:g} {metric}."
        raise _Beyond(value, reason, f"Correct the value, or the unit in the heading {column.name}.")
    return value


def _crossed(line: int, cells: tuple[str, ...], header: Header, values: Values) -> list[Fault]:
    """Minimum above maximum. Where one heading lacks its unit, that is said for the unit of the other."""
    tmin, tmax = values.get("tmin"), values.get("tmax")
    if tmin is None or tmax is None:
        return []
    low, high = header.columns["tmin"], header.columns["tmax"]
    reason = f"{low.name} is above {high.name} ({shown(cells[high.index])})."
    if low.unit is None and high.unit is not None:
        tmin = high.unit.to_metric(tmin)
        reason = f"In the unit of {high.name}, {low.name} would be above it ({shown(cells[high.index])})."
    elif high.unit is None and low.unit is not None:
        tmax = low.unit.to_metric(tmax)
        reason = f"In the unit of {low.name}, {high.name} ({shown(cells[high.index])}) would be below it."
    remedy = "Check whether the two values are swapped."
    return [Fault(line, low.name, shown(cells[low.index]), reason, remedy)] if tmin > tmax else []
