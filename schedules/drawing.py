"""A plot drawn to scale as SVG: a surveyor's plan with beds, rows, families and rest.

All outlines are metres in the site's frame, x to the east and y to the north, so north is up. Nothing
is styled here: every shape carries a class, and the one style sheet gives it ink.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from shapely import LineString, Polygon
from shapely.affinity import rotate
from shapely.geometry.base import BaseGeometry

from schedules.hatches import hatch, hatch_id, mark_of

PAGE_WIDTH = 360.0
MARGIN = 10.0
TALLEST = 460.0
FOOT = 40.0
LETTER = 11.0
SMALL = 9.0
MOST_ROWS = 400
FEWEST_LETTERS = 5  # a name cut shorter tells nothing
MARK_PLACE = 0.46  # along a patch: past the bed's name, short of the figure at the far end

Corners = Sequence[Sequence[float]]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class BedShape:
    """A bed, and how many full seasons its ground still rests from which family (0: from none)."""

    name: str
    outline: Corners
    rest_seasons: int = 0
    rest_family: str = ""


@dataclass(frozen=True, slots=True)
class CropShape:
    """A crop on its patch, in rows at their real spacing."""

    crop_name: str
    family: str
    outline: Corners
    row_spacing_m: float


@dataclass(frozen=True, slots=True)
class Scale:
    """From metres in the site's frame to units of the drawing; north stays up."""

    west_m: float
    north_m: float
    units_per_m: float
    left: float
    top: float

    def point(self, x_m: float, y_m: float) -> tuple[float, float]:
        return (
            self.left + (x_m - self.west_m) * self.units_per_m,
            self.top + (self.north_m - y_m) * self.units_per_m,
        )

    def shape(self, outline: Corners) -> Polygon:
        return Polygon([self.point(float(x), float(y)) for x, y in outline])


def plot_drawing(
    *, title: str, words: str, outline: Corners, beds: Sequence[BedShape], crops: Sequence[CropShape]
) -> str:
    """The whole drawing. Names are escaped by the writer of the XML, never put together as text."""
    scale, height = _scale(outline)
    svg = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "plan",
            "viewBox": f"0 0 {PAGE_WIDTH:g} {_n(height)}",
            "role": "img",
            "aria-labelledby": "plan-title plan-words",
        },
    )
    SubElement(svg, "title", {"id": "plan-title"}).text = title
    SubElement(svg, "desc", {"id": "plan-words"}).text = words
    _definitions(svg, crops)
    _polygon(svg, scale.shape(outline), "plan-plot")
    for bed in beds:
        _polygon(svg, scale.shape(bed.outline), "plan-bed")
        _polygon(svg, scale.shape(bed.outline), "plan-stipple", fill="url(#stipple)")
    for crop in crops:
        _crop(svg, scale, crop)
    for bed in beds:
        _bed_words(svg, scale, bed)
    _metre_rule(svg, scale, height)
    _north(svg, height)
    return tostring(svg, encoding="unicode")


def _scale(outline: Corners) -> tuple[Scale, float]:
    xs, ys = [float(x) for x, _ in outline], [float(y) for _, y in outline]
    width_m, height_m = max(xs) - min(xs), max(ys) - min(ys)
    units_per_m = min((PAGE_WIDTH - 2 * MARGIN) / width_m, TALLEST / height_m)
    scale = Scale(min(xs), max(ys), units_per_m, MARGIN, MARGIN)
    return scale, MARGIN + height_m * units_per_m + FOOT


def _definitions(svg: Element, crops: Sequence[CropShape]) -> None:
    defs = SubElement(svg, "defs")
    stipple = SubElement(
        defs, "pattern", {"id": "stipple", "width": "6", "height": "6", "patternUnits": "userSpaceOnUse"}
    )
    for x, y in (("1.5", "1.5"), ("4.5", "4.5")):
        SubElement(stipple, "circle", {"class": "plan-dot", "cx": x, "cy": y, "r": "0.5"})
    drawn: set[str] = set()
    for crop in crops:
        if hatch_id(crop.family) not in drawn:
            drawn.add(hatch_id(crop.family))
            defs.append(hatch(crop.family))


def _crop(svg: Element, scale: Scale, crop: CropShape) -> None:
    shape = scale.shape(crop.outline)
    group = SubElement(svg, "g", {"class": "plan-crop"})
    SubElement(group, "title").text = crop.crop_name
    _polygon(group, shape, "plan-patch")
    _polygon(group, shape, "plan-hatch", fill=f"url(#{hatch_id(crop.family)})")
    for row in row_lines(shape, crop.row_spacing_m * scale.units_per_m):
        _line(group, row, "plan-row")
    x, y = _along(shape, MARK_PLACE)
    _lettering(group, (x, y), mark_of(crop.family), "plan-mark", LETTER)


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


def long_axis(shape: Polygon) -> tuple[Point, Point] | None:
    """The middle line of a shape along its longer side, from its western to its eastern end."""
    frame = shape.minimum_rotated_rectangle
    if not isinstance(frame, Polygon):
        return None
    a, b, c, d = list(frame.exterior.coords)[:4]
    ends = (
        (_middle(a, d), _middle(b, c))
        if math.dist(a, b) >= math.dist(b, c)
        else (_middle(a, b), _middle(c, d))
    )
    west, east = sorted(ends)
    return west, east


def _middle(one: Sequence[float], other: Sequence[float]) -> Point:
    return ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2)


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
        inset = (4 + _width(name, SMALL) / 2) / length
        _lettering(svg, _along(shape, inset), name, "plan-name", SMALL)
    if bed.rest_seasons:
        depth = shape.area / length
        size = max(LETTER, min(26.0, depth * 0.95))
        figure = f"{bed.rest_seasons}"
        reach = _width(figure, size) + _width("  ", SMALL) + 6
        label = _lettering(svg, _along(shape, max(0.5, 1 - reach / 2 / length)), figure, "plan-rest", size)
        mark = SubElement(label, "tspan", {"class": "plan-rest-mark", "font-size": _n(SMALL)})
        mark.text = f" {mark_of(bed.rest_family)}"


def _along(shape: Polygon, share: float) -> Point:
    """The point at a share of the way along a shape's middle line."""
    axis = long_axis(shape)
    if axis is None:
        return (shape.centroid.x, shape.centroid.y)
    (x1, y1), (x2, y2) = axis
    return (x1 + (x2 - x1) * share, y1 + (y2 - y1) * share)


def _fitted(name: str, room: float) -> str:
    """The bed's name without the word bed, cut to the room it has; the table below gives it in full."""
    short = name[4:] if name.lower().startswith("bed ") else name
    fits = int(room / (SMALL * 0.56))
    if len(short) <= fits:
        return short
    return f"{short[: fits - 1]}…" if fits >= FEWEST_LETTERS else ""


def _width(text: str, size: float) -> float:
    return len(text) * size * 0.6


def _lettering(parent: Element, at: Point, text: str, kind: str, size: float) -> Element:
    """Words centred on a point; the style sheet gives them a rim of paper, so that no hatch runs in."""
    label = SubElement(parent, "text", {"class": kind, "x": _n(at[0]), "y": _n(at[1] + size * 0.36)})
    label.set("font-size", _n(size))
    label.set("text-anchor", "middle")
    label.text = text
    return label


def _metre_rule(svg: Element, scale: Scale, height: float) -> None:
    """A rule of whole metres, chequered metre by metre, about a third of the drawing long."""
    metres = next((m for m in (1, 2, 5, 10, 20, 50, 100) if m * scale.units_per_m >= 70), 200)
    step = metres / 5 if metres >= 5 else metres / 2
    y = height - 22
    group = SubElement(svg, "g", {"class": "plan-ruler"})
    cells = round(metres / step)
    for index in range(cells):
        SubElement(
            group,
            "rect",
            {
                "class": "plan-ruler-dark" if index % 2 == 0 else "plan-ruler-light",
                "x": _n(MARGIN + index * step * scale.units_per_m),
                "y": _n(y),
                "width": _n(step * scale.units_per_m),
                "height": "4",
            },
        )
    for value, place in ((0, 0.0), (metres, metres * scale.units_per_m)):
        label = SubElement(group, "text", {"class": "plan-note", "x": _n(MARGIN + place), "y": _n(y + 15)})
        label.set("font-size", _n(SMALL))
        label.set("text-anchor", "start" if value == 0 else "middle")
        label.text = "0" if value == 0 else f"{value} m"


def _north(svg: Element, height: float) -> None:
    x, y = PAGE_WIDTH - MARGIN - 8, height - 6
    group = SubElement(svg, "g", {"class": "plan-north"})
    staff = f"M{_n(x)} {_n(y)}V{_n(y - 20)}"
    head = f"M{_n(x - 4)} {_n(y - 13)}L{_n(x)} {_n(y - 21)}L{_n(x + 4)} {_n(y - 13)}"
    SubElement(group, "path", {"d": staff + head})
    label = SubElement(group, "text", {"class": "plan-note", "x": _n(x - 10), "y": _n(y - 8)})
    label.set("font-size", _n(LETTER))
    label.set("text-anchor", "middle")
    label.text = "N"


def _polygon(parent: Element, shape: Polygon, kind: str, *, fill: str | None = None) -> None:
    points = " ".join(f"{_n(x)},{_n(y)}" for x, y in list(shape.exterior.coords)[:-1])
    polygon = SubElement(parent, "polygon", {"class": kind, "points": points})
    if fill:
        polygon.set("fill", fill)


def _line(parent: Element, line: LineString, kind: str) -> None:
    (x1, y1), (x2, y2) = line.coords[0], line.coords[-1]
    SubElement(parent, "line", {"class": kind, "x1": _n(x1), "y1": _n(y1), "x2": _n(x2), "y2": _n(y2)})


def _n(value: float) -> str:
    """A coordinate to a hundredth, which is finer than a pen."""
    return f"{round(value, 2):g}"
