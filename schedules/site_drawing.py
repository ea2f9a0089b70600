"""A whole site drawn to scale: its plots, and the patches that did not rest, hatched and numbered."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from shapely import LineString, Point, Polygon, box

from schedules.drafting import (
    SMALL,
    Corners,
    Scale,
    along,
    hatches,
    lettering,
    metre_rule,
    north,
    polygon,
    scale_of,
    sheet,
    width_of,
)
from schedules.hatches import hatch_id

FIGURE = 12.0
CORNER_INSET = 7.0
# A number stands on its patch; where another number is there already it moves along, then beside.
PLACES = (0.5, 0.25, 0.75, 0.1, 0.9)
BESIDE = ((0.0, -1.1), (0.0, 1.1), (1.2, 0.0), (-1.2, 0.0), (1.2, -1.1), (-1.2, 1.1))

Place = tuple[float, float]


@dataclass(frozen=True, slots=True)
class PlotShape:
    number: str
    outline: Corners


@dataclass(frozen=True, slots=True)
class WarnedShape:
    """A patch that is warned of, under its number in the table; ``is_allowed`` where it is overruled."""

    number: int
    words: str
    family: str
    outline: Corners
    is_allowed: bool = False


def site_drawing(*, title: str, words: str, plots: Sequence[PlotShape], warned: Sequence[WarnedShape]) -> str:
    """The drawing; north up. Names are escaped by the writer of the XML, never put together as text."""
    scale, height = scale_of([corner for plot in plots for corner in plot.outline])
    svg = sheet(height, title=title, words=words)
    hatches(SubElement(svg, "defs"), (patch.family for patch in warned))
    for plot in plots:
        polygon(svg, scale.shape(plot.outline), "plan-plot plan-holding")
    for patch in warned:
        _patch(svg, scale, patch)
    taken = [plot_number(svg, scale.shape(plot.outline), plot.number) for plot in plots]
    for patch in warned:
        at = _free_place(scale.shape(patch.outline), str(patch.number), taken)
        kind = "plan-figure" if patch.is_allowed else "plan-figure plan-warns"
        lettering(svg, at, str(patch.number), kind, FIGURE)
    metre_rule(svg, scale, height)
    north(svg, height)
    return tostring(svg, encoding="unicode")


def plot_number(svg: Element, shape: Polygon, number: str) -> Polygon:
    """In the plot's upper left corner, out of the way of its beds; the room that it takes."""
    corner = Point(min(shape.exterior.coords, key=lambda at: at[0] + at[1]))
    inward = LineString([corner, shape.centroid])
    at = inward.interpolate(min(CORNER_INSET + width_of(number, SMALL) / 2, inward.length))
    lettering(svg, (at.x, at.y), number, "plan-name plan-plot-number", SMALL)
    return _room((at.x, at.y), number, SMALL)


def _patch(svg: Element, scale: Scale, patch: WarnedShape) -> None:
    group = SubElement(svg, "g", {"class": "plan-crop"})
    SubElement(group, "title").text = patch.words
    shape = scale.shape(patch.outline)
    polygon(group, shape, "plan-patch plan-allowed" if patch.is_allowed else "plan-patch plan-unrested")
    polygon(group, shape, "plan-hatch", fill=f"url(#{hatch_id(patch.family)})")


def _free_place(shape: Polygon, figure: str, taken: list[Polygon]) -> Place:
    """Where the number lies on no other number; on the patch's middle when every place is taken."""
    for x, y in _places(shape):
        room = _room((x, y), figure, FIGURE)
        if not any(room.intersects(other) for other in taken):
            taken.append(room)
            return x, y
    return along(shape, PLACES[0])


def _room(at: Place, text: str, size: float) -> Polygon:
    wide = width_of(text, size)
    return box(at[0] - wide / 2, at[1] - size / 2, at[0] + wide / 2, at[1] + size / 2)


def _places(shape: Polygon) -> Iterator[Place]:
    for share in PLACES:
        yield along(shape, share)
    x, y = along(shape, PLACES[0])
    for right, down in BESIDE:
        yield x + right * FIGURE, y + down * FIGURE
