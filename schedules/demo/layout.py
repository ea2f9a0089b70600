"""The invented society as its files describe it: checked, and without any year in it."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from plots.models.ground import BedKind, SoilKind
from schedules.demo.note_rows import read_notes
from schedules.demo.standing import Standing, read_standing
from schedules.demo.tables import LayoutFault, Row, table
from schedules.weather_csv import NormalsFile, read_normals

PLOTS = (
    "plot", "angle_deg", "held_by", "held_years", "helped_by", "habit", "days_later", "known_seasons",
    "corners",
)  # fmt: skip
BEDS = (
    "plot", "beds", "kind", "along_m", "across_m", "step_m", "turn_deg", "length_m", "width_m", "height_m",
    "soil", "dug", "closed",
)  # fmt: skip
MEMBERS = ("key", "name", "email", "units", "joined_years_ago", "office", "waits_months", "away_with")
ACCOUNTS = ("email", "password", "acts_for", "administrator")
SPELL = ("tmin_off_c", "tmax_off_c", "rain_mm", "wind_ms")
MONTHS_C = (
    "jan_c", "feb_c", "mar_c", "apr_c", "may_c", "jun_c", "jul_c", "aug_c", "sep_c", "oct_c", "nov_c",
    "dec_c",
)  # fmt: skip
YEARS = ("year", *MONTHS_C, "rain_pct")
READINGS = ("days_ago", "member", "hour", "soil_off_c")
SET_ASIDE = ("days_ago", "quantity", "value", "rule", "limit")
SOCIETY_KEYS = {
    "society", "site", "record_seasons", "weather_years", "screen", "notices", "event", "show_log_ins",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class BedSpec:
    """One bed of a row of beds: the `place`-th to the left of the first. Times are in seasons ago."""

    plot: str
    name: str
    row: Row
    place: int
    dug: int | None
    closed: int | None


@dataclass(frozen=True, slots=True)
class Layout:
    about: dict[str, Any]
    members: tuple[Row, ...]
    accounts: tuple[Row, ...]
    plots: tuple[Row, ...]
    beds: tuple[BedSpec, ...]
    standing: tuple[Standing, ...]
    spell: tuple[Row, ...]
    years: tuple[Row, ...]
    readings: tuple[Row, ...]
    set_aside: tuple[Row, ...]
    notes: tuple[Row, ...]
    normals: NormalsFile

    def plot(self, number: str) -> Row:
        return next(row for row in self.plots if row.text("plot") == number)


def read_layout(folder: Path) -> Layout:
    """Read all files of the demo; raises LayoutFault at the first thing that is wrong."""
    members = {row.text("key"): row for row in table(folder, "members.csv", MEMBERS)}
    plots = {row.text("plot"): row for row in table(folder, "plots.csv", PLOTS)}
    accounts = table(folder, "accounts.csv", ACCOUNTS)
    for row in members.values():
        _check_people(row, "away_with", members)
    for row in accounts:
        _check_people(row, "acts_for", members)
        row.one_of("administrator", ("yes", "no"))
    for row in plots.values():
        _check_people(row, "held_by", members)
        _check_people(row, "helped_by", members)
        row.one_of("habit", ("prompt", "tardy"))
    beds = _beds(folder, plots)
    lengths = {(bed.plot, bed.name): bed.row.number("length_m") for bed in beds}
    return Layout(
        about=_about(folder),
        members=tuple(members.values()),
        accounts=tuple(accounts),
        plots=tuple(plots.values()),
        beds=beds,
        standing=read_standing(folder, lengths),
        spell=tuple(table(folder, "weather_spell.csv", SPELL)),
        years=tuple(table(folder, "weather_years.csv", YEARS)),
        readings=_readings(folder, members),
        set_aside=tuple(table(folder, "set_aside.csv", SET_ASIDE)),
        notes=read_notes(folder, plots),
        normals=_normals(folder),
    )


def _about(folder: Path) -> dict[str, Any]:
    file = "society.json"
    try:
        about = json.loads((folder / file).read_text(encoding="utf-8"))
    except OSError as fault:
        raise LayoutFault(file, 0, "file", f"cannot be read: {fault.strerror}") from fault
    except ValueError as fault:
        raise LayoutFault(file, getattr(fault, "lineno", 0), "file", f"is no JSON: {fault}") from fault
    if not isinstance(about, dict) or set(about) != SOCIETY_KEYS:
        raise LayoutFault(file, 1, "keys", f"must be {', '.join(sorted(SOCIETY_KEYS))}")
    return about


def _normals(folder: Path) -> NormalsFile:
    file = "normals.csv"
    try:
        found = read_normals((folder / file).read_text(encoding="utf-8"))
    except OSError as fault:
        raise LayoutFault(file, 0, "file", f"cannot be read: {fault.strerror}") from fault
    for wrong in found.faults:
        raise LayoutFault(file, wrong.line, wrong.column, f"{wrong.reason} {wrong.remedy}")
    return found


def _readings(folder: Path, members: dict[str, Row]) -> tuple[Row, ...]:
    found = tuple(table(folder, "readings.csv", READINGS))
    for row in found:
        row.known("member", members, "member")
    return found


def _check_people(row: Row, column: str, members: dict[str, Row]) -> None:
    for key in row.several(column):
        if key not in members:
            raise row.fault(column, f"there is no member {key!r} in members.csv")


def _beds(folder: Path, plots: dict[str, Row]) -> tuple[BedSpec, ...]:
    found: dict[tuple[str, str], BedSpec] = {}
    for row in table(folder, "beds.csv", BEDS):
        plot = row.known("plot", plots, "plot")
        row.one_of("kind", tuple(BedKind.values))
        row.one_of("soil", ("", *SoilKind.values))
        for place, name in enumerate(row.several("beds")):
            if (plot, name) in found:
                raise row.fault(
                    "beds", f"plot {plot} has a {name!r} already; give each bed a name of its own"
                )
            dug, closed = (row.whole(each) if row.maybe(each) else None for each in ("dug", "closed"))
            found[plot, name] = BedSpec(plot, name, row, place, dug, closed)
    return tuple(found.values())
