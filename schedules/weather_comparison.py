"""A weather file beside what is stored: what is new, what is corrected, what does not fit together."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Generic, TypeVar

from schedules.weather_csv import Fault, NormalRow, WeatherRow
from schedules.weather_csv.arrays import QUANTITIES

__all__ = ["QUANTITIES", "Comparison", "Key", "Reading", "compare"]


Reading = tuple[float | None, ...]
Key = TypeVar("Key", date, int)


@dataclass(slots=True)
class Comparison(Generic[Key]):
    """Readings by day or month; `faults` are rows that contradict the record."""

    added: dict[Key, Reading] = field(default_factory=dict)
    changed: dict[Key, Reading] = field(default_factory=dict)
    unchanged: int = 0
    faults: list[Fault] = field(default_factory=list)

    @property
    def to_write(self) -> dict[Key, Reading]:
        return self.added | self.changed

    @property
    def has_good_rows(self) -> bool:
        return bool(self.added or self.changed or self.unchanged)


def compare(
    rows: Mapping[Key, WeatherRow | NormalRow],
    stored: Mapping[Key, Reading],
    disbelieved: Mapping[Key, Mapping[str, float]] | None = None,
) -> Comparison[Key]:
    """Sort rows into added, changed, unchanged and faulty; an empty cell keeps the stored value.

    ``disbelieved`` has the readings set aside: where the very same value is stored it becomes a gap.
    """
    doubts = disbelieved or {}
    found: Comparison[Key] = Comparison()
    for key, row in rows.items():
        old = stored.get(key)
        new = _merged(row, _believed(old, doubts.get(key, {})))
        fault = _crossed(row.line, new)
        if old is None and all(value is None for value in new):
            # All of the row was set aside: the day stays a gap.
            continue
        if new == old:
            found.unchanged += 1
        elif fault:
            found.faults.append(fault)
        elif old is None:
            found.added[key] = new
        else:
            found.changed[key] = new
    return found


def _believed(old: Reading | None, doubts: Mapping[str, float]) -> Reading | None:
    if old is None or not doubts:
        return old
    return tuple(
        None if value is not None and doubts.get(name) == value else value
        for name, value in zip(QUANTITIES, old, strict=True)
    )


def _merged(row: WeatherRow | NormalRow, old: Reading | None) -> Reading:
    read = tuple(getattr(row, quantity) for quantity in QUANTITIES)
    if old is None:
        return read
    return tuple(kept if value is None else value for value, kept in zip(read, old, strict=True))


def _crossed(line: int, reading: Reading) -> Fault | None:
    tmin_c, tmax_c = reading[:2]
    if tmin_c is None or tmax_c is None or tmin_c <= tmax_c:
        return None
    reason = f"Together with what is stored, the minimum {tmin_c:g} °C is above the maximum {tmax_c:g} °C."
    return Fault(line, "tmin", f"{tmin_c:g}", reason, "Give both temperatures in this row.")
