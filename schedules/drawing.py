"""A plot drawn to scale as SVG: a surveyor's plan with beds, rows, families and rest.

All outlines are metres in the site's frame, x to the east and y to the north, so north is up. Nothing
is styled here: every shape carries a class, and the one style sheet gives it ink.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from shapely import LineString, Polygon
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from schedules.drafting import (
    LETTER,
    SMALL,
    Corners,
    Scale,
    along,
    hatches,
    lettering,
    long_axis,
    metre_rule,
    north,
    polygon,
    scale_of,
    sheet,
    stroke,
    units,
    width_of,
)
from schedules.hatches import hatch_id, mark_of

MOST_ROWS = 400
FEWEST_LETTERS = 5  # a name cut shorter tells nothing
MARK_PLACE = 0.46  # along a patch: past the bed's name, short of the figure at the far end


@dataclass(frozen=True, slots=True)
class BedShape:
    """A bed, and how many full seasons its ground still rests from which family (0: from none).

    ``is_possible``: only a coarse record says so. ``way`` is the address that pressing it leads to, empty
    for none.
    """

    name: str
    outline: Corners
    rest_seasons: int = 0
    rest_family: str = ""
    is_possible: bool = False
    way: str = ""


@dataclass(frozen=True, slots=True)
class CropShape:
    """A crop on its patch, in rows at their real spacing; ``way`` as of a bed."""

    crop_name: str
    family: str
    outline: Corners
    row_spacing_m: float
    way: str = ""


def plot_drawing(
    *,
    title: str,
    words: str,
    outline: Corners,
    beds: Sequence[BedShape],
    crops: Sequence[CropShape],
    marked: Sequence[Corners] = (),
    ended: Sequence[Corners] = (),
) -> str:
    """The whole drawing. Names are escaped by the writer of the XML, never put together as text.

    ``marked`` are pieces of ground to be outlined heavily over everything else, ``ended`` those that end, in
    dashes.
    """
    pieces = [*(bed.outline for bed in beds), *(crop.outline for crop in crops), *marked, *ended]
    scale, height = scale_of(_extent(outline, pieces))
    svg = sheet(height, title=title, words=words)
    if any(bed.way for bed in beds) or any(crop.way for crop in crops):
        svg.set("role", "group")  # the ways inside of an image would not be told of
    _definitions(svg, crops)
    polygon(svg, scale.shape(outline), "plan-plot")
    for bed in beds:
        ground = _leading(svg, bed.way, f"{bed.name}: its years")
        polygon(ground, scale.shape(bed.outline), "plan-bed")
        polygon(ground, scale.shape(bed.outline), "plan-stipple", fill="url(#stipple)")
    for crop in crops:
        _crop(svg, scale, crop)
    for bed in beds:
        _bed_words(svg, scale, bed)
    for piece in ended:
        polygon(svg, scale.shape(piece), "plan-ended")
    for piece in marked:
        polygon(svg, scale.shape(piece), "plan-marked")
    metre_rule(svg, scale, height)
    north(svg, height)
    return tostring(svg, encoding="unicode")


def _extent(outline: Corners, pieces: Iterable[Corners]) -> list[list[float]]:
    """Corners to draw between: those of the plot and of what reaches over its edge, as a bed of older days
    may, but no further off than half the plot, or a slip of the pen would leave nothing of it to see."""
    xs, ys = [float(x) for x, _ in outline], [float(y) for _, y in outline]
    west, east, south, north_m = min(xs), max(xs), min(ys), max(ys)
    wide, deep = (east - west) / 2, (north_m - south) / 2
    corners = [[x, y] for x, y in zip(xs, ys, strict=True)]
    for piece in pieces:
        for x, y in piece:
            corners.append(
                [
                    min(max(float(x), west - wide), east + wide),
                    min(max(float(y), south - deep), north_m + deep),
                ]
            )
    return corners


def _definitions(svg: Element, crops: Sequence[CropShape]) -> None:
    defs = SubElement(svg, "defs")
    stipple = SubElement(
        defs, "pattern", {"id": "stipple", "width": "6", "height": "6", "patternUnits": "userSpaceOnUse"}
    )
    for x, y in (("1.5", "1.5"), ("4.5", "4.5")):
        SubElement(stipple, "circle", {"class": "plan-dot", "cx": x, "cy": y, "r": "0.5"})
    hatches(defs, (crop.family for crop in crops))


def _leading(svg: Element, way: str, words: str) -> Element:
    """What the shapes of a bed or crop are put into: a way to somewhere, or the drawing itself."""
    return SubElement(svg, "a", {"href": way, "aria-label": words, "class": "plan-way"}) if way else svg


def _crop(svg: Element, scale: Scale, crop: CropShape) -> None:
    shape = scale.shape(crop.outline)
    ground = _leading(svg, crop.way, f"{crop.crop_name}: the years of its ground")
    group = SubElement(ground, "g", {"class": "plan-crop"})
    SubElement(group, "title").text = crop.crop_name
    polygon(group, shape, "plan-patch")
    polygon(group, shape, "plan-hatch", fill=f"url(#{hatch_id(crop.family)})")
    for row in row_lines(shape, crop.row_spacing_m * scale.units_per_m):
        stroke(group, row, "plan-row")
    x, y = along(shape, MARK_PLACE)
    lettering(group, (x, y), mark_of(crop.family), "plan-mark", LETTER)


def row_lines(shape: Polygon, spacing: float) -> list[LineString]:
    """Rows along a patch's longer side, half a spacing in from its edge, cut to its outline."""
    axis = long_axis(shape)
    if spacing <= 0 or axis is None:
        return []
    angle = math.degrees(math.atan2(axis[1][1] - axis[0][1], axis[1][0] - axis[0][0]))
    centre = ((axis[0][0] + axis[1][0]) / 2, (axis[0][1] + axis[1][1]) / 2)
    west, low, east, high = rotate(shape, -angle, origin=centre).bounds
    count = min(max(1, int((high - low) / spacing + 1e-6)), MOST_ROWS)
    first = (low + high) / 2 - (count - 1) * spacing / 2
    lines: list[LineString] = []
    for index in range(count):
        level = first + index * spacing
        row = rotate(LineString([(west, level), (east, level)]), angle, origin=centre)
        lines.extend(_pieces(row.intersection(shape)))
    return lines


def _pieces(cut: BaseGeometry) -> list[LineString]:
    parts = getattr(cut, "geoms", [cut])
    return [part for part in parts if isinstance(part, LineString) and not part.is_empty]


def _bed_words(svg: Element, scale: Scale, bed: BedShape) -> None:
    """The bed's name at its western end, the seasons it still rests large at its eastern end."""
    shape = scale.shape(bed.outline)
    axis = long_axis(shape)
    length = math.dist(*axis) if axis else 0.0
    name = _fitted(bed.name, length * 0.42 - 4)
    if name:
        inset = (4 + width_of(name, SMALL) / 2) / length
        lettering(svg, along(shape, inset), name, "plan-name", SMALL)
    if bed.rest_seasons:
        depth = shape.area / length
        size = max(LETTER, min(26.0, depth * 0.95))
        figure = f"{bed.rest_seasons}{'?' if bed.is_possible else ''}"
        reach = width_of(figure, size) + width_of("  ", SMALL) + 6
        label = lettering(svg, along(shape, max(0.5, 1 - reach / 2 / length)), figure, "plan-rest", size)
        mark = SubElement(label, "tspan", {"class": "plan-rest-mark", "font-size": units(SMALL)})
        mark.text = f" {mark_of(bed.rest_family)}"


def _fitted(name: str, room: float) -> str:
    """The bed's name without the word bed, cut to the room it has; the table below gives it in full."""
    short = name[4:] if name.lower().startswith("bed ") else name
    fits = int(room / (SMALL * 0.56))
    if len(short) <= fits:
        return short
    return f"{short[: fits - 1]}…" if fits >= FEWEST_LETTERS else ""
