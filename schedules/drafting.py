"""The drawing tools of a surveyor's plan: scale, outlines, lettering, the metre rule and north.

All outlines are metres in the site's frame, x to the east and y to the north, so north is up. Nothing
is styled here: every shape carries a class, and the one style sheet gives it ink.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

from shapely import LineString, Polygon

from schedules.hatches import hatch, hatch_id

PAGE_WIDTH = 360.0
MARGIN = 10.0
TALLEST = 460.0
FOOT = 40.0
LETTER = 11.0
SMALL = 9.0

Corners = Sequence[Sequence[float]]
Point = tuple[float, float]


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


def scale_of(outline: Corners, *, width: float = PAGE_WIDTH, tallest: float = TALLEST) -> tuple[Scale, float]:
    """The scale at which an outline fills a sheet of this width, and how tall the sheet is with its foot."""
    xs, ys = [float(x) for x, _ in outline], [float(y) for _, y in outline]
    width_m, height_m = max(xs) - min(xs), max(ys) - min(ys)
    units_per_m = min((width - 2 * MARGIN) / width_m, tallest / height_m)
    scale = Scale(min(xs), max(ys), units_per_m, MARGIN, MARGIN)
    return scale, MARGIN + height_m * units_per_m + FOOT


def sheet(height: float, *, title: str, words: str, width: float = PAGE_WIDTH) -> Element:
    """The drawing's own root, with its title and description for those who cannot see it."""
    svg = Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "class": "plan",
            "viewBox": f"0 0 {width:g} {units(height)}",
            "role": "img",
            "aria-labelledby": "plan-title plan-words",
        },
    )
    SubElement(svg, "title", {"id": "plan-title"}).text = title
    SubElement(svg, "desc", {"id": "plan-words"}).text = words
    return svg


def hatches(defs: Element, families: Iterable[str]) -> None:
    """Define each family's hatch once."""
    for family in {hatch_id(family): family for family in families}.values():
        defs.append(hatch(family))


def polygon(parent: Element, shape: Polygon, kind: str, *, fill: str | None = None) -> None:
    points = " ".join(f"{units(x)},{units(y)}" for x, y in list(shape.exterior.coords)[:-1])
    drawn = SubElement(parent, "polygon", {"class": kind, "points": points})
    if fill:
        drawn.set("fill", fill)


def stroke(parent: Element, line: LineString, kind: str) -> None:
    (x1, y1), (x2, y2) = line.coords[0], line.coords[-1]
    SubElement(
        parent,
        "line",
        {"class": kind, "x1": units(x1), "y1": units(y1), "x2": units(x2), "y2": units(y2)},
    )


def lettering(parent: Element, at: Point, text: str, kind: str, size: float) -> Element:
    """Words centred on a point; the style sheet gives them a rim of paper, so that no hatch runs in."""
    label = SubElement(parent, "text", {"class": kind, "x": units(at[0]), "y": units(at[1] + size * 0.36)})
    label.set("font-size", units(size))
    label.set("text-anchor", "middle")
    label.text = text
    return label


def width_of(text: str, size: float) -> float:
    return len(text) * size * 0.6


def along(shape: Polygon, share: float) -> Point:
    """The point at a share of the way along a shape's middle line."""
    axis = long_axis(shape)
    if axis is None:
        return (shape.centroid.x, shape.centroid.y)
    (x1, y1), (x2, y2) = axis
    return (x1 + (x2 - x1) * share, y1 + (y2 - y1) * share)


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


def metre_rule(svg: Element, scale: Scale, height: float) -> None:
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
                "x": units(MARGIN + index * step * scale.units_per_m),
                "y": units(y),
                "width": units(step * scale.units_per_m),
                "height": "4",
            },
        )
    for value, place in ((0, 0.0), (metres, metres * scale.units_per_m)):
        label = SubElement(
            group, "text", {"class": "plan-note", "x": units(MARGIN + place), "y": units(y + 15)}
        )
        label.set("font-size", units(SMALL))
        label.set("text-anchor", "start" if value == 0 else "middle")
        label.text = "0" if value == 0 else f"{value} m"


def north(svg: Element, height: float, *, width: float = PAGE_WIDTH) -> None:
    x, y = width - MARGIN - 8, height - 6
    group = SubElement(svg, "g", {"class": "plan-north"})
    staff = f"M{units(x)} {units(y)}V{units(y - 20)}"
    head = f"M{units(x - 4)} {units(y - 13)}L{units(x)} {units(y - 21)}L{units(x + 4)} {units(y - 13)}"
    SubElement(group, "path", {"d": staff + head})
    label = SubElement(group, "text", {"class": "plan-note", "x": units(x - 10), "y": units(y - 8)})
    label.set("font-size", units(LETTER))
    label.set("text-anchor", "middle")
    label.text = "N"


def units(value: float) -> str:
    """A coordinate to a hundredth, which is finer than a pen."""
    return f"{round(value, 2):g}"


def apart(drawing: str, own: str) -> str:
    """The drawing with names of its own for its hatches and words, where a page has several."""
    drawing = drawing.replace('id="', f'id="{own}').replace("url(#", f"url(#{own}")
    return drawing.replace('"plan-title plan-words"', f'"{own}plan-title {own}plan-words"')
