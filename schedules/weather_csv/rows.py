"""What a weather file yields: rows in °C, mm and m/s, and the faults found on the way."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from plots.tables import Fault
from schedules.agronomy.climate import Suspect


@dataclass(frozen=True, slots=True)
class WeatherRow:
    """One day; None where the cell was left empty."""

    line: int
    date: date
    tmin_c: float | None
    tmax_c: float | None
    rain_mm: float | None
    wind_ms: float | None


@dataclass(frozen=True, slots=True)
class NormalRow:
    """One month's long-term means; `rain_mm` is the total of the month."""

    line: int
    month: int
    tmin_c: float
    tmax_c: float
    rain_mm: float | None
    wind_ms: float | None


@dataclass(frozen=True, slots=True)
class WeatherFile:
    """The good rows in file order, the faults by line, and the names of columns nobody asked for.

    ``set_aside`` holds the readings that cannot be true or that the file itself marks as doubtful; they are
    None in the rows. ``unit`` is what the headings say of both temperatures, None where that is beyond
    doubt or the two differ.
    """

    rows: tuple[WeatherRow, ...]
    faults: tuple[Fault, ...]
    ignored: tuple[str, ...] = ()
    set_aside: tuple[Suspect, ...] = ()
    unit: Literal["c", "f"] | None = None


@dataclass(frozen=True, slots=True)
class NormalsFile:
    """As WeatherFile; twelve months are of use only together, so `rows` is empty when anything is wrong."""

    rows: tuple[NormalRow, ...]
    faults: tuple[Fault, ...]
    ignored: tuple[str, ...] = ()
