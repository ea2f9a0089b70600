"""A weather file beside what is stored: what is new, what is corrected, what does not fit together."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Generic, TypeVar

from schedules.weather_csv import Fault, NormalRow, WeatherRow

QUANTITIES = ("tmin_c", "tmax_c", "rain_mm", "wind_ms")
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


def compare(rows: Mapping[Key, WeatherRow | NormalRow], stored: Mapping[Key, Reading]) -> Comparison[Key]:
    """Sort rows into added, changed, unchanged and faulty; an empty cell keeps the stored value."""
    found: Comparison[Key] = Comparison()
    for key, row in rows.items():
        old = stored.get(key)
        new = _merged(row, old)
        fault = _crossed(row.line, new)
        if new == old:
            found.unchanged += 1
        elif fault:
            found.faults.append(fault)
        elif old is None:
            found.added[key] = new
        else:
            found.changed[key] = new
    return found


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
