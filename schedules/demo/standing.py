"""The rotation plan: which menu of crops stands in which bed in which season, and what each menu holds.

A cell of rotation.csv names menus: `T4`, or several: `L1+O5`, each perhaps on a part of the bed, in metres
from its first edge: `T4@0-5+R2@5-8`. `~P3` is remembered roughly; `-` is nothing.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from plots.crops import crops
from schedules.demo.tables import MonthDay, Row, table
from schedules.planner.types import Cover

MENUS = ("menu", "crop", "from_pct", "to_pct", "sow", "gone", "picked_on", "cover")
SEASONS = {"6_ago": -6, "5_ago": -5, "4_ago": -4, "3_ago": -3, "2_ago": -2, "1_ago": -1, "now": 0, "next": 1}
ROTATION = ("plot", "bed", *SEASONS)
CELL = re.compile(r"(?P<rough>~?)(?P<menu>[A-Z]\d+)(?:@(?P<from_m>[\d.]+)-(?P<to_m>[\d.]+))?")
FIT = "fit "


@dataclass(frozen=True, slots=True)
class Course:
    """One crop of a menu: on what share of the bed, from when to when.

    `sow` is the day, or with `is_fit` the day before which the ground is not waited for; `gone` comes in the
    next year where it lies before `sow`, and never for what stays. `is_picked_on`: left standing in the
    autumn and lifted a little at a time until `gone`.
    """

    crop: str
    from_share: float
    to_share: float
    sow: MonthDay
    is_fit: bool
    gone: MonthDay | None
    is_picked_on: bool
    cover: str

    @property
    def overwinters(self) -> bool:
        return self.gone is not None and (self.gone.month, self.gone.day) < (self.sow.month, self.sow.day)


@dataclass(frozen=True, slots=True)
class Standing:
    """One course on its part of one bed in one season; `season` counts from the present one."""

    plot: str
    bed: str
    season: int
    from_m: float
    to_m: float
    course: Course
    is_rough: bool

    @property
    def is_lived(self) -> bool:
        """Whether its work is recorded job by job: what may still be in the ground, or is to come."""
        stays = self.course.overwinters or self.course.gone is None
        return self.season >= 0 or (self.season == -1 and stays)


def read_standing(folder: Path, bed_lengths: Mapping[tuple[str, str], float]) -> tuple[Standing, ...]:
    """All that stood, stands and is to stand, bed by bed."""
    menus = _menus(folder)
    return tuple(
        standing
        for row in table(folder, "rotation.csv", ROTATION)
        for column, season in SEASONS.items()
        for standing in _cell(row, column, season, _length(row, bed_lengths), menus)
    )


def _menus(folder: Path) -> dict[str, list[Course]]:
    menus: dict[str, list[Course]] = {}
    for row in table(folder, "menus.csv", MENUS):
        if not CELL.fullmatch(row.text("menu")):
            raise row.fault("menu", "must be a letter and a number, like R2")
        menus.setdefault(row.text("menu"), []).append(_course(row))
    return menus


def _course(row: Row) -> Course:
    start, end = row.number("from_pct"), row.number("to_pct")
    if not 0 <= start < end <= 100:
        raise row.fault("to_pct", f"{start:g} to {end:g} is no part of a hundred")
    sow = row.text("sow")
    return Course(
        crop=row.one_of("crop", tuple(each.key for each in crops())),
        from_share=start / 100,
        to_share=end / 100,
        sow=row.as_month_day("sow", sow.removeprefix(FIT)),
        is_fit=sow.startswith(FIT),
        gone=row.month_day("gone") if row.maybe("gone") else None,
        is_picked_on=row.one_of("picked_on", ("yes", "no")) == "yes",
        cover=row.one_of("cover", tuple(Cover)),
    )


def _length(row: Row, bed_lengths: Mapping[tuple[str, str], float]) -> float:
    length_m = bed_lengths.get((row.text("plot"), row.text("bed")))
    if length_m is None:
        raise row.fault("bed", f"plot {row.text('plot')} has no {row.text('bed')!r} in beds.csv")
    return length_m


def _cell(
    row: Row, column: str, season: int, length_m: float, menus: Mapping[str, list[Course]]
) -> Iterator[Standing]:
    if row.text(column) == "-":
        return
    for part in row.text(column).split("+"):
        found = CELL.fullmatch(part.strip())
        if found is None or found["menu"] not in menus:
            raise row.fault(column, f"{part!r} names no menu of menus.csv; write one like R2, R2@0-5 or -")
        begin, end = float(found["from_m"] or 0), float(found["to_m"] or length_m)
        if not 0 <= begin < end <= length_m:
            raise row.fault(column, f"{begin:g} to {end:g} m is no part of a bed of {length_m:g} m")
        for course in menus[found["menu"]]:
            yield Standing(
                plot=row.text("plot"),
                bed=row.text("bed"),
                season=season,
                from_m=round(begin + course.from_share * (end - begin), 2),
                to_m=round(begin + course.to_share * (end - begin), 2),
                course=course,
                is_rough=bool(found["rough"]),
            )
