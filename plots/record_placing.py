"""On which ground a row of an old record lay: a bed of today or of then, part of it, or somewhere there."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from django.core.exceptions import ValidationError
from shapely import Polygon, box

from plots.models import Bed, Plot
from plots.natural_order import natural_key
from plots.outlines import Corners, polygon
from plots.placing import Strip, overhang_words, overhangs, strip_outline
from plots.record_csv import Place, Where, read_place
from plots.shapes import outline_of
from plots.tables import CellFault

# Nobody measured to the centimetre what covered the whole bed.
NEARLY_ALL = 0.98
# Two outlines nearer than this are one: they were rounded on their way.
SAME_M = 0.03
PLOT_WORDS = re.compile(r"^(?:plot)?[ .]*(?:number|no\b|nr\b|#)?[ .:#]*")
WINDS = ("north", "south", "east", "west")
Box = tuple[float, float, float, float]


class PlaceFault(CellFault):
    """Why a place cannot be found, and at which of its columns."""

    def __init__(self, column: str, reason: str, remedy: str) -> None:
        super().__init__(reason, remedy)
        self.column = column


@dataclass(frozen=True, slots=True)
class Ground:
    """A piece of a plot; ``is_coarse`` when only roughly known, ``laid_out_later`` when its bed is newer."""

    plot: Plot
    bed: Bed | None
    outline: Corners
    box: Box
    area_m2: float
    is_coarse: bool
    side: str = ""
    laid_out_later: bool = False

    @property
    def place(self) -> str:
        """'bed A', 'the plot itself', 'somewhere on bed A', 'somewhere in the north of the plot'."""
        if not self.is_coarse:
            return self.bed.name if self.bed else "the plot itself"
        where = f"in the {self.side} of" if self.side else "on"
        return f"somewhere {where} {self.bed.name if self.bed else 'the plot'}"


@dataclass(slots=True)
class PlotBook:
    """A plot with every bed that it has or had, and the outlines that are on record there already."""

    plot: Plot
    beds: Sequence[Bed]
    on_record: frozenset[Box]
    found: dict[tuple[Where, int | None], Ground] = field(default_factory=dict)
    places: dict[tuple[str, str], Place] = field(default_factory=dict)

    @property
    def names(self) -> list[str]:
        return sorted({bed.name for bed in self.beds}, key=natural_key)

    def ground(self, where: Where, *, first_day: date, last_day: date) -> Ground:
        """The ground that a row means; raises PlaceFault."""
        place = self.place(where)
        bed = _bed_then(self.beds, place.bed, first_day, last_day)
        key = (where, bed.pk if bed else None)
        if key not in self.found:
            self.found[key] = self._measured(where, place, bed)
        ground = self.found[key]
        later = bed is not None and bed.since > last_day
        return replace(ground, laid_out_later=later)

    def place(self, where: Where) -> Place:
        """What the words come to on this plot; raises PlaceFault."""
        said = (where.bed, where.part)
        if said not in self.places:
            self.places[said] = _place(where, self.names)
        return self.places[said]

    def _measured(self, where: Where, place: Place, bed: Bed | None) -> Ground:
        base = bed.outline if bed is not None else self.plot.outline
        if where.corners:
            outline, coarse = self._drawn(where), place.is_rough and bool(where.part)
        else:
            outline, coarse = _piece(where, place, base)
        shape = polygon(outline)
        side = "" if where.corners else place.side
        return Ground(self.plot, bed, outline, box_of(outline), shape.area, coarse, side)

    def _drawn(self, where: Where) -> Corners:
        try:
            outline = outline_of([list(corner) for corner in where.corners])
        except ValidationError as fault:
            raise PlaceFault("corners", f"{' '.join(fault.messages)}.", "Correct the corners.") from None
        where_now = box_of(outline)
        is_known = any(is_near(where_now, each) for each in self.on_record)
        out = () if is_known else overhangs(self.plot.outline, outline)
        if out:
            reason = f"It sticks out {overhang_words(out)} of plot {self.plot.number}."
            raise PlaceFault("corners", reason, "Correct the corners, or the plot’s number.")
        return outline


def box_of(outline: Corners) -> Box:
    """The bounding box, to the centimetre."""
    min_x, min_y, max_x, max_y = polygon(outline).bounds
    return round(min_x, 2), round(min_y, 2), round(max_x, 2), round(max_y, 2)


def is_near(one: Box, other: Box) -> bool:
    """Whether two boxes are one, but for rounding."""
    return all(abs(a - b) <= SAME_M for a, b in zip(one, other, strict=True))


def plot_named(number: str, books: Mapping[str, PlotBook]) -> PlotBook | None:
    """By its number, 'plot 4', 'No. 4', '#4' and '04' as well as '4'; 4a and 4A may be two."""
    folded = " ".join(number.casefold().split())
    bare = PLOT_WORDS.sub("", folded)
    shorter = (bare.lstrip("0"), bare.removesuffix(".0"))  # as spreadsheets fill and tables of numbers write
    return next((books[each] for each in (number, folded, bare, *shorter) if each in books), None)


def _place(where: Where, names: Sequence[str]) -> Place:
    try:
        return read_place(where.bed, where.part, names)
    except CellFault as fault:
        raise PlaceFault("bed", fault.reason, fault.remedy) from None


def _bed_then(beds: Sequence[Bed], name: str, first_day: date, last_day: date) -> Bed | None:
    """The bed of that name at the time; else today's, else the last that there was."""
    if not name:
        return None
    named = [bed for bed in beds if bed.name == name]
    then = [bed for bed in named if bed.since <= last_day and (bed.until is None or bed.until > first_day)]
    return max(then or named, key=lambda bed: (bool(then) or bed.until is None, bed.since, bed.pk))


def _piece(where: Where, place: Place, base: Corners) -> tuple[Corners, bool]:
    """The outline of what the words and measures say, and whether that is only roughly where it was."""
    sides = (where.length_m, where.width_m)
    if where.along_m is not None or where.across_m is not None:
        return _strip(where, base), place.is_rough and bool(where.part)
    if None not in sides:
        return base, place.is_rough or not _covers(where, base)
    is_rough = place.is_rough or any(side is not None for side in sides)
    return _part(base, place) if place.side else base, is_rough


def _strip(where: Where, base: Corners) -> Corners:
    if where.length_m is None or where.width_m is None:
        raise PlaceFault(
            "length", "A distance from the corner needs a size.", "Give length and width as well."
        )
    strip = Strip(where.length_m, where.width_m, where.along_m or 0.0, where.across_m or 0.0)
    if min(strip.length_m, strip.width_m) <= 0:
        raise PlaceFault("length", "A side of no length is no ground.", "Correct length and width.")
    outline = strip_outline(base, strip)
    out = overhangs(base, outline)
    if out:
        raise PlaceFault(
            "length", f"It sticks out {overhang_words(out)}.", "Correct the measures, or the bed."
        )
    return outline


def _covers(where: Where, base: Corners) -> bool:
    """Whether length and width come to all of the ground; more than that is a fault."""
    share = (where.length_m or 0.0) * (where.width_m or 0.0) / polygon(base).area
    if share * NEARLY_ALL > 1:
        raise PlaceFault(
            "length", f"That is {share:.1f} times the ground there.", "Correct length and width, or the bed."
        )
    return share >= NEARLY_ALL


def _part(base: Corners, place: Place) -> Corners:
    """The part that lies towards a wind, cut from the ground's upright box."""
    shape = polygon(base)
    winds = place.side.split("-")
    share = place.share if place.share is not None and len(winds) == 1 else 0.5
    min_x, min_y, max_x, max_y = shape.bounds
    wide, high = (max_x - min_x) * share, (max_y - min_y) * share
    cut = box(
        max_x - wide if "east" in winds else min_x,
        max_y - high if "north" in winds else min_y,
        min_x + wide if "west" in winds else max_x,
        min_y + high if "south" in winds else max_y,
    )
    part = shape.intersection(cut)
    if not isinstance(part, Polygon) or part.is_empty:
        return base  # a crooked piece may fall apart there: then it was somewhere on the whole
    return [[round(x, 4), round(y, 4)] for x, y in part.exterior.coords[:-1]]
