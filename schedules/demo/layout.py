"""The invented society as its files describe it: checked, and without any year in it."""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from plots.crops import crops
from plots.models.ground import BedKind, SoilKind
from schedules.demo.tables import LayoutFault, MonthDay, Row, table
from schedules.planner.types import Cover
from schedules.weather_csv import NormalsFile, read_normals

PLOTS = (
    "plot", "east_m", "north_m", "length_m", "width_m", "angle_deg", "held_by", "held_years", "helped_by",
)  # fmt: skip
BEDS = ("plot", "bed", "kind", "along_m", "across_m", "length_m", "width_m", "height_m", "soil")
MEMBERS = ("key", "name", "email", "units", "joined_years_ago", "office")
ACCOUNTS = ("email", "password", "acts_for")
STRIP = ("plot", "bed", "from_m", "to_m", "crop", "variety")
RECORD = ("seasons_ago", *STRIP, "sown", "ended", "coarse")
PLANS = ("season", *STRIP, "sow", "not_before", "cover", "habit", "put_off")
SPELL = ("tmin_off_c", "tmax_off_c", "rain_mm", "wind_ms")
SOCIETY_KEYS = {"society", "site", "record_seasons", "screen", "notice", "show_log_ins"}


@dataclass(frozen=True, slots=True)
class Strip:
    """Part of a bed, across its whole width, with one crop."""

    plot: str
    bed: str
    from_m: float
    to_m: float
    crop: str
    variety: str


@dataclass(frozen=True, slots=True)
class PastCrop:
    seasons_ago: int
    strip: Strip
    sown: MonthDay
    ended: MonthDay
    coarse: bool


@dataclass(frozen=True, slots=True)
class PlannedCrop:
    """`season` counts from the present one; `put_off`: the days to which its lifting is put off in turn."""

    season: int
    strip: Strip
    sow: MonthDay | None
    not_before: MonthDay | None
    cover: str
    is_tardy: bool
    put_off: tuple[MonthDay, ...]


@dataclass(frozen=True, slots=True)
class Layout:
    about: dict[str, Any]
    members: tuple[Row, ...]
    accounts: tuple[Row, ...]
    plots: tuple[Row, ...]
    beds: tuple[Row, ...]
    record: tuple[PastCrop, ...]
    plans: tuple[PlannedCrop, ...]
    spell: tuple[Row, ...]
    normals: NormalsFile


def read_layout(folder: Path) -> Layout:
    """Read all files of the demo; raises LayoutFault at the first thing that is wrong."""
    members = {row.text("key"): row for row in table(folder, "members.csv", MEMBERS)}
    plots = {row.text("plot"): row for row in table(folder, "plots.csv", PLOTS)}
    beds = {_bed_key(row): row for row in table(folder, "beds.csv", BEDS)}
    accounts = table(folder, "accounts.csv", ACCOUNTS)
    for row in accounts:
        _check_people(row, "acts_for", members)
    for row in plots.values():
        _check_people(row, "held_by", members)
        _check_people(row, "helped_by", members)
    for row in beds.values():
        row.known("plot", plots, "plot")
        row.one_of("kind", tuple(BedKind.values))
        row.one_of("soil", ("", *SoilKind.values))
    about = _about(folder)
    return Layout(
        about=about,
        members=tuple(members.values()),
        accounts=tuple(accounts),
        plots=tuple(plots.values()),
        beds=tuple(beds.values()),
        record=tuple(
            _past(row, beds, about["record_seasons"]) for row in table(folder, "ground_record.csv", RECORD)
        ),
        plans=tuple(_planned(row, beds) for row in table(folder, "plans.csv", PLANS)),
        spell=tuple(table(folder, "weather_spell.csv", SPELL)),
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


def _check_people(row: Row, column: str, members: dict[str, Row]) -> None:
    for key in row.several(column):
        if key not in members:
            raise row.fault(column, f"there is no member {key!r} in members.csv")


def _bed_key(row: Row) -> str:
    return f"{row.text('plot')}/{row.text('bed')}"


def _strip(row: Row, beds: dict[str, Row]) -> Strip:
    bed = beds.get(_bed_key(row))
    if bed is None:
        raise row.fault("bed", f"plot {row.text('plot')} has no {row.text('bed')!r} in beds.csv")
    from_m, to_m = row.number("from_m"), row.number("to_m")
    if not 0 <= from_m < to_m <= bed.number("length_m"):
        raise row.fault("to_m", f"{from_m} to {to_m} m is no part of a bed of {bed.number('length_m')} m")
    row.one_of("crop", tuple(each.key for each in crops()))
    return Strip(row.text("plot"), row.text("bed"), from_m, to_m, row.text("crop"), row.maybe("variety"))


def _past(row: Row, beds: dict[str, Row], seasons: int) -> PastCrop:
    ago = row.whole("seasons_ago")
    if not 1 <= ago <= seasons:
        raise row.fault("seasons_ago", f"{ago} is outside the record of {seasons} seasons")
    coarse = row.one_of("coarse", ("yes", "no")) == "yes"
    return PastCrop(ago, _strip(row, beds), row.month_day("sown"), row.month_day("ended"), coarse)


def _planned(row: Row, beds: dict[str, Row]) -> PlannedCrop:
    is_fit = row.text("sow") == "fit"
    return PlannedCrop(
        season=int(row.one_of("season", ("-1", "0", "1"))),
        strip=_strip(row, beds),
        sow=None if is_fit else row.month_day("sow"),
        not_before=row.month_day("not_before") if is_fit else None,
        cover=row.one_of("cover", tuple(Cover)),
        is_tardy=row.one_of("habit", ("prompt", "tardy")) == "tardy",
        put_off=row.month_days("put_off"),
    )
