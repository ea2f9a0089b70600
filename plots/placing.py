"""Whether a piece of ground lies inside another, and by how much it does not. Pure geometry, in metres.

North is up the site's frame. A side is named after the wind it faces, so that it can be found on the ground
whichever corner was measured first.
"""

import math
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely import LineString, Point, Polygon
from shapely.geometry.polygon import orient

from plots.outlines import Corners

# Nobody lays out ground to the centimetre: what is nearer than this counts as touching.
TOLERANCE_M = 0.01
NOTCH_STEP_M = 0.05
WINDS = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")


@dataclass(frozen=True, slots=True)
class Strip:
    """A rectangle in the frame of its bed: ``along_m`` from the bed's first corner along its first side,
    ``across_m`` away from that side. Both may be left at 0."""

    length_m: float
    width_m: float
    along_m: float = 0.0
    across_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Overhang:
    """How far a piece of ground sticks out over one side of another."""

    side: str
    by_m: float


def strip_outline(bed_outline: Corners, strip: Strip) -> Corners:
    """The strip's corners in the site's frame."""
    shape = Polygon(bed_outline)
    (x, y), (x_next, y_next) = bed_outline[0], bed_outline[1]
    first_side = math.hypot(x_next - x, y_next - y)
    east, north = (x_next - x) / first_side, (y_next - y) / first_side
    inward = 1 if shape.exterior.is_ccw else -1  # the bed lies left of its sides when drawn anticlockwise
    across = (-north * inward, east * inward)

    def corner(along_m: float, across_m: float) -> list[float]:
        return [
            round(x + along_m * east + across_m * across[0], 4),
            round(y + along_m * north + across_m * across[1], 4),
        ]

    along_end, across_end = strip.along_m + strip.length_m, strip.across_m + strip.width_m
    return [
        corner(strip.along_m, strip.across_m),
        corner(along_end, strip.across_m),
        corner(along_end, across_end),
        corner(strip.along_m, across_end),
    ]


def overhangs(container: Corners, piece: Corners) -> tuple[Overhang, ...]:
    """By how much a piece sticks out over each side of a container, the worst first; empty when inside."""
    outer, inner = orient(Polygon(container)), Polygon(piece)
    found = _over_sides(outer, inner) if _is_convex(outer) else _out_of_notches(outer, inner)
    worst: dict[str, float] = {}
    for each in found:
        worst[each.side] = max(each.by_m, worst.get(each.side, 0.0))
    return tuple(Overhang(side, by_m) for side, by_m in sorted(worst.items(), key=lambda item: -item[1]))


def overlap_m2(one: Corners, other: Corners) -> float:
    """The ground that two pieces share; 0 where they meet no deeper than the tolerance."""
    first, second = Polygon(one), Polygon(other)
    shrunk = [shape.buffer(-TOLERANCE_M / 2, join_style="mitre") for shape in (first, second)]
    return first.intersection(second).area if shrunk[0].intersects(shrunk[1]) else 0.0


def patch_sides(outline: Corners) -> tuple[float, float]:
    """Length and width: the width of the smallest rectangle round a patch, the length that gives its area."""
    shape = Polygon(outline)
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
    sides = [math.hypot(*(corners[number + 1] - corners[number])) for number in (0, 1)]
    return shape.area / min(sides), min(sides)


def overhang_words(found: tuple[Overhang, ...]) -> str:
    """'0.30 m over the north side and 0.10 m over the east side'."""
    return " and ".join(f"{each.by_m:.2f} m over the {each.side} side" for each in found)


def first_corner_words(outline: Corners) -> str:
    """'Measured from its south-west corner, along the side that runs east.', so that it can be found."""
    shape = Polygon(outline)
    (x, y), (x_next, y_next) = outline[0], outline[1]
    west, south, east, north = shape.bounds
    # In halves of its own length and width, or a long plot's corner would be named after its end.
    corner = _wind(((2 * x - west - east) / (east - west), (2 * y - south - north) / (north - south)))
    heading = _wind((x_next - x, y_next - y))
    return f"Measured from the plot’s {corner} corner, along the side that runs {heading}."


def _is_convex(shape: Polygon) -> bool:
    return math.isclose(shape.convex_hull.area, shape.area, rel_tol=1e-9)


def _sides(outer: Polygon) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    corners = list(outer.exterior.coords)
    return [(start, end) for start, end in pairwise(corners) if start != end]


def _normal(side: tuple[tuple[float, float], tuple[float, float]]) -> tuple[float, float]:
    """Outward, of a side of an anticlockwise outline."""
    (x, y), (x_next, y_next) = side
    length = math.hypot(x_next - x, y_next - y)
    return (y_next - y) / length, -(x_next - x) / length


def _wind(heading: tuple[float, float]) -> str:
    eighths = round(math.degrees(math.atan2(heading[1], heading[0])) / 45)
    return WINDS[eighths % len(WINDS)]


def _over_sides(outer: Polygon, inner: Polygon) -> list[Overhang]:
    found = []
    for side in _sides(outer):
        (x, y), normal = side[0], _normal(side)
        by_m = max((px - x) * normal[0] + (py - y) * normal[1] for px, py in inner.exterior.coords)
        if by_m > TOLERANCE_M:
            found.append(Overhang(_wind(normal), by_m))
    return found


def _out_of_notches(outer: Polygon, inner: Polygon) -> list[Overhang]:
    """The same where the container has a notch: the depth is measured to the nearest side."""
    outside = inner.difference(outer)
    if outside.is_empty:
        return []
    found = []
    for x, y in shapely.get_coordinates(outside.segmentize(NOTCH_STEP_M)):
        point = Point(x, y)
        by_m = outer.distance(point)
        if by_m > TOLERANCE_M:
            nearest = min(_sides(outer), key=lambda side: LineString(side).distance(point))
            found.append(Overhang(_wind(_normal(nearest)), by_m))
    return found


def side_winds(outline: Corners) -> list[tuple[str, str]]:
    """Of each side, in the order of the corners: the wind it faces, and that of the end it begins at."""
    shape = Polygon(outline)
    inward = 1 if shape.exterior.is_ccw else -1
    found = []
    for start, end in pairwise([*outline, outline[0]]):
        east, north = end[0] - start[0], end[1] - start[1]
        found.append((_wind((north * inward, -east * inward)), _wind((-east, -north))))
    return found
