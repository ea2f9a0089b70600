"""Ground at rest drawn to scale: each bed with the seasons still to come before a family may return."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement, tostring

from schedules.drafting import (
    Corners,
    Scale,
    along,
    lettering,
    long_axis,
    metre_rule,
    north,
    polygon,
    scale_of,
    sheet,
)
from schedules.site_drawing import PlotShape, plot_number

# Enough room for the figures of two dozen plots; on paper it fills the width of a page.
WIDTH, TALLEST = 720.0, 900.0
FEW_PLOTS, FEW_WIDTH, FEW_TALLEST = 2, 360.0, 460.0
LARGEST, SMALLEST = 30.0, 10.0
TILE = 6.0
# The longer the rest still to come, the darker the dots: their radius by seasons, the last for all beyond.
DOTS = (0.6, 0.9, 1.2, 1.5, 1.8)
NOT_KNOWN = "?"


@dataclass(frozen=True, slots=True)
class RestShape:
    """A bed with its seasons to come; None where the record does not say. ``words`` name it for a pointer."""

    outline: Corners
    words: str
    seasons: int | None
    is_coarse: bool = False

    @property
    def figure(self) -> str:
        """What is set large in the bed: '3', '3?' where only a coarse record stands, '?' for no record."""
        if self.seasons is None:
            return NOT_KNOWN
        return f"{self.seasons}{NOT_KNOWN if self.is_coarse else ''}"


def rest_drawing(
    *, title: str, words: str, plots: Sequence[PlotShape], beds: Sequence[RestShape], own: str = ""
) -> str:
    """The drawing; north up. ``own`` goes before the names of its patterns, where a page has several."""
    width, tallest = (FEW_WIDTH, FEW_TALLEST) if len(plots) <= FEW_PLOTS else (WIDTH, TALLEST)
    corners = [corner for plot in plots for corner in plot.outline]
    scale, height = scale_of(corners, width=width, tallest=tallest)
    svg = sheet(height, title=title, words=words, width=width)
    _patterns(SubElement(svg, "defs"))
    for plot in plots:
        polygon(svg, scale.shape(plot.outline), "plan-plot plan-holding")
    for bed in beds:
        _bed(svg, scale, bed)
    for plot in plots:
        plot_number(svg, scale.shape(plot.outline), plot.number)
    for bed in beds:
        _figure(svg, scale, bed)
    metre_rule(svg, scale, height)
    north(svg, height, width=width)
    return tostring(svg, encoding="unicode")


def pattern_id(seasons: int, *, is_coarse: bool = False) -> str:
    return "rest-coarse" if is_coarse else f"rest-{min(seasons, len(DOTS))}"


def _patterns(defs: Element) -> None:
    for seasons, radius in enumerate(DOTS, start=1):
        _dots(defs, pattern_id(seasons), [(1.5, 1.5), (4.5, 4.5)], radius)
    # Far apart and uneven, as nothing else is: a mark of ground that was only remembered roughly.
    _dots(defs, pattern_id(0, is_coarse=True), [(2.0, 1.5), (8.5, 4.5), (4.0, 9.0)], 1.1, tile=2 * TILE)


def _dots(
    defs: Element, name: str, places: Sequence[tuple[float, float]], radius: float, *, tile: float = TILE
) -> None:
    size = f"{tile:g}"
    pattern = SubElement(
        defs, "pattern", {"id": name, "width": size, "height": size, "patternUnits": "userSpaceOnUse"}
    )
    for x, y in places:
        SubElement(
            pattern, "circle", {"class": "plan-dot", "cx": f"{x:g}", "cy": f"{y:g}", "r": f"{radius:g}"}
        )


def _bed(svg: Element, scale: Scale, bed: RestShape) -> None:
    group = SubElement(svg, "g")
    SubElement(group, "title").text = bed.words
    shape = scale.shape(bed.outline)
    rough = bed.is_coarse or bed.seasons is None
    polygon(group, shape, "plan-bed plan-rough" if rough else "plan-bed")
    if bed.seasons:
        fill = f"url(#{pattern_id(bed.seasons, is_coarse=bed.is_coarse)})"
        polygon(group, shape, "plan-stipple", fill=fill)


def _figure(svg: Element, scale: Scale, bed: RestShape) -> None:
    """As large as the bed is deep; a small bed's reaches over its edge rather than not being read."""
    shape = scale.shape(bed.outline)
    axis = long_axis(shape)
    depth = shape.area / math.dist(*axis) if axis else math.sqrt(shape.area)
    kind = "plan-rest" if bed.seasons else "plan-rest plan-at-rest"
    lettering(svg, along(shape, 0.5), bed.figure, kind, min(LARGEST, max(depth * 1.05, SMALLEST)))
