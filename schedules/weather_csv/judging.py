"""A file beside what is known of the site: the wrong unit, and what is far from the own past."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from plots.tables import Fault, by_line
from schedules.agronomy.climate import (
    ClimateFault,
    DailyWeather,
    Normals,
    Suspect,
    WrongUnit,
    far_from_past,
    normals_of,
    wrong_unit,
)
from schedules.weather_csv.arrays import QUANTITIES, daily
from schedules.weather_csv.rows import WeatherFile, WeatherRow

# Our construction; common practice, no published source.
MISFIT_DAYS, MISFIT_SHARE = 10, 0.1


@dataclass(frozen=True, slots=True)
class Judged:
    """The file with all that is doubtful set aside, and why its temperatures look to be in another unit."""

    file: WeatherFile
    wrong_unit: WrongUnit | None = None


def judge(
    file: WeatherFile,
    *,
    history: DailyWeather | None = None,
    normals: Normals | None = None,
    latitude: float | None = None,
    unit_is_right: bool = False,
) -> Judged:
    """Judge a file's good rows; with the wrong unit they are not judged any further.

    Parameters
    ----------
    file : WeatherFile
        As read; its faults stay as they are.
    history : DailyWeather or None
        What was observed at the site before this file.
    normals : Normals or None
        The site's monthly means.
    latitude : float or None
        Degrees, south negative.
    unit_is_right : bool
        Somebody has looked and says that the headings are right.
    """
    if not file.rows:
        return Judged(file)
    known = normals or _normals_or_none(history)
    unit = None if unit_is_right else _wrong_unit(file, known, latitude)
    if unit:
        return Judged(file, unit)
    days = daily(file.rows)
    together = _joined(history, days)
    found = far_from_past(days, history=together, usual=known or _normals_or_none(together))
    judged = set_aside(file, found)
    misfit = _misfit(file, found)
    return Judged(replace(judged, faults=by_line([*misfit, *judged.faults])) if misfit else judged)


def _misfit(file: WeatherFile, found: tuple[Suspect, ...]) -> list[Fault]:
    """One reading in many may be wrong; when one day in ten is, the file or the record is another place's."""
    far = len({suspect.day for suspect in found})
    if far < MISFIT_DAYS or far < MISFIT_SHARE * len(file.rows):
        return []
    reason = f"{far} of {len(file.rows)} days lie far outside what is known of this site."
    remedy = "Check that the file is this site's, and that what was read in before is right."
    return [Fault(1, "", "", reason, remedy)]


def set_aside(file: WeatherFile, found: tuple[Suspect, ...]) -> WeatherFile:
    """Take readings out of the rows of a file and put them with those set aside."""
    if not found:
        return file
    gaps: dict[date, dict[str, None]] = {}
    for suspect in found:
        gaps.setdefault(suspect.day, {})[suspect.quantity] = None
    rows = tuple(_without(row, gaps.get(row.date, {})) for row in file.rows)
    aside = sorted([*file.set_aside, *found], key=lambda each: (each.day, each.quantity))
    return replace(file, rows=rows, set_aside=tuple(aside))


def _without(row: WeatherRow, gaps: Mapping[str, None]) -> WeatherRow:
    values = [None if name in gaps else getattr(row, name) for name in QUANTITIES]
    return WeatherRow(row.line, row.date, *values) if gaps else row


def _normals_or_none(days: DailyWeather | None) -> Normals | None:
    try:
        return normals_of(days) if days is not None else None
    except ClimateFault:
        return None


def _wrong_unit(file: WeatherFile, usual: Normals | None, latitude: float | None) -> WrongUnit | None:
    """Judge the unit by everything that was read, what lies beyond the possible among it."""
    if file.unit is None:
        return None
    days = {row.date: [row.tmin_c, row.tmax_c] for row in file.rows}
    for suspect in file.set_aside:
        if suspect.quantity in ("tmin_c", "tmax_c"):
            days.setdefault(suspect.day, [None, None])[suspect.quantity == "tmax_c"] = suspect.value
    values = np.array(list(days.values()), dtype=float)
    dates = np.array(list(days), dtype="datetime64[D]")
    return wrong_unit(values[:, 0], values[:, 1], dates, stated=file.unit, usual=usual, latitude=latitude)


def _joined(history: DailyWeather | None, days: DailyWeather) -> DailyWeather:
    """Lay a file over what was known before; where the two contradict each other the file stands."""
    if history is None:
        return days
    first = min(history.first, days.first)
    last = max(history.dates[-1], days.dates[-1])
    length = int((last - np.datetime64(first, "D")).astype(np.int64)) + 1
    values = {name: np.full(length, np.nan) for name in QUANTITIES}
    for record in (history, days):
        at = (record.first - first).days
        for name in QUANTITIES:
            new = getattr(record, name)
            part = values[name][at : at + new.size]
            part[np.isfinite(new)] = new[np.isfinite(new)]
    crossed = values["tmin_c"] > values["tmax_c"]
    for name in ("tmin_c", "tmax_c"):
        values[name][crossed] = np.nan
    return DailyWeather(first, **values)
