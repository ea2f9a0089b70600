"""Outlines moved, turned, cut and joined. Pure geometry in the site's frame, in metres.

What comes out runs the same way round as what went in, its corners to a tenth of a millimetre.
"""

import math
from itertools import pairwise

import shapely
from shapely import LineString, Polygon
from shapely.affinity import rotate, translate
from shapely.geometry.polygon import orient
from shapely.ops import split

from plots.outlines import Corners

DECIMALS = 4
# Corners on a straight side say nothing: a joint in a hedge, left over where two pieces were put together.
STRAIGHT_M = 0.002
# Two pieces are joined along a side, not at a corner.
SHORTEST_JOINT_M = 0.3
_BISECTIONS = 60


class CutFault(ValueError):
    """A line that does not cut a piece of ground in two, or pieces that cannot be joined."""


def moved(outline: Corners, *, east_m: float, north_m: float) -> Corners:
    return stored(translate(Polygon(outline), east_m, north_m))


def turned(outline: Corners, degrees: float, *, about: tuple[float, float] | None = None) -> Corners:
    """Turned anticlockwise about a point, or about its own middle."""
    return stored(rotate(Polygon(outline), degrees, origin=about or "centroid"))


def cut(
    outline: Corners, *, at: tuple[float, float], heading: tuple[float, float]
) -> tuple[Corners, Corners]:
    """The pieces right and left of a line through a point; CutFault unless there are just two."""
    shape = Polygon(outline)
    far = 2 * math.hypot(shape.bounds[2] - shape.bounds[0], shape.bounds[3] - shape.bounds[1]) + 1
    far += math.hypot(at[0] - shape.centroid.x, at[1] - shape.centroid.y)
    size = math.hypot(*heading)
    east, north = heading[0] / size, heading[1] / size
    line = LineString([(at[0] - far * east, at[1] - far * north), (at[0] + far * east, at[1] + far * north)])
    pieces = [piece for piece in split(shape, line).geoms if isinstance(piece, Polygon)]
    if len(pieces) < 2:
        raise CutFault("the line does not cross it")
    if len(pieces) > 2:
        raise CutFault(f"the line cuts it into {len(pieces)} pieces, because it has a notch")

    def left_of(piece: Polygon) -> float:
        inside = piece.representative_point()
        return east * (inside.y - at[1]) - north * (inside.x - at[0])

    right, left = sorted(pieces, key=left_of)
    return stored(right, like=outline), stored(left, like=outline)


def cut_along(outline: Corners, side: int, distance_m: float) -> tuple[Corners, Corners]:
    """Cut square to a side, so far from that side's first corner. The first piece holds the side's start.

    ``side`` counts from 0, in the order of the corners.
    """
    start, east, north, length = _side(outline, side)
    if not 0 < distance_m < length:
        raise CutFault(f"the side is {length:.2f} m long; give a distance between 0 and that")
    at = (start[0] + distance_m * east, start[1] + distance_m * north)
    return _from_start(cut(outline, at=at, heading=(-north, east)), start, (east, north))


def cut_equal(outline: Corners, side: int, count: int = 2) -> list[Corners]:
    """Equal areas, cut square to a side one after the other from that side's start."""
    start, east, north, _ = _side(outline, side)
    reach = [(x - start[0]) * east + (y - start[1]) * north for x, y in outline]
    found, rest, whole = [], outline, Polygon(outline).area
    low = min(reach)
    for _ in range(count - 1):
        near, far = low, max(reach)
        for _ in range(_BISECTIONS):
            middle = (near + far) / 2
            if _area_before(rest, start, (east, north), middle) < whole / count:
                near = middle
            else:
                far = middle
        low = near
        at = (start[0] + near * east, start[1] + near * north)
        first, rest = _from_start(cut(rest, at=at, heading=(-north, east)), start, (east, north))
        found.append(first)
    return [*found, rest]


def joined(one: Corners, other: Corners, *, reach_m: float) -> Corners:
    """Two pieces as one, with the ground between them where they lie no further apart than ``reach_m``."""
    first, second = Polygon(one), Polygon(other)
    gap_m = first.distance(second)
    if gap_m > reach_m:
        raise CutFault(f"they lie {gap_m:.2f} m apart")
    grow = gap_m / 2 + 0.01
    joint = first.buffer(grow, join_style="mitre").intersection(second.buffer(grow, join_style="mitre"))
    west, south, east, north = joint.bounds
    whole = first.union(second)
    if gap_m > 0 or not isinstance(whole, Polygon) or whole.interiors:
        wide = whole.buffer(grow, join_style="mitre", mitre_limit=20)
        whole = wide.buffer(-grow, join_style="mitre", mitre_limit=20)
    if math.hypot(east - west, north - south) < SHORTEST_JOINT_M or not isinstance(whole, Polygon):
        raise CutFault("they meet in a corner only")
    if whole.interiors:
        raise CutFault("they would close round ground that belongs to neither")
    return stored(whole, like=one)


def long_side(outline: Corners) -> int:
    """Which side an outline is longest along, counted from 0; the first of equals."""
    return max(range(len(outline)), key=lambda side: round(_side(outline, side)[3], 3))


def side_length(outline: Corners, side: int) -> float:
    return _side(outline, side)[3]


def stored(shape: Polygon, *, like: Corners | None = None) -> Corners:
    """A shape's corners; with ``like``, tidied, running the same way round and from the nearest corner."""
    if like is None:
        corners = list(shape.exterior.coords)[:-1]
    else:
        model = Polygon(like)
        tidy = shapely.simplify(shape, STRAIGHT_M)
        corners = list(orient(tidy, 1.0 if model.exterior.is_ccw else -1.0).exterior.coords)[:-1]
        corners = _without_straight(corners)
        first = min(range(len(corners)), key=lambda at: math.dist(corners[at], like[0]))
        corners = corners[first:] + corners[:first]
    return [[round(x, DECIMALS) + 0.0, round(y, DECIMALS) + 0.0] for x, y in corners]  # no minus zero


def _without_straight(corners: list[tuple[float, ...]]) -> list[tuple[float, ...]]:
    """Simplifying never drops the corner that it starts from, though it may lie on a straight side."""
    ring = [corners[-1], *corners, corners[0]]
    kept = [
        here
        for before, here, after in zip(ring, ring[1:], ring[2:], strict=False)
        if LineString([before, after]).distance(shapely.Point(here)) > STRAIGHT_M
    ]
    return kept if len(kept) >= 3 else corners


def _side(outline: Corners, side: int) -> tuple[tuple[float, float], float, float, float]:
    """Start, heading east and north, and length of a side."""
    sides = list(pairwise([*outline, outline[0]]))
    (x, y), (x_next, y_next) = sides[side % len(sides)]
    length = math.hypot(x_next - x, y_next - y)
    return (x, y), (x_next - x) / length, (y_next - y) / length, length


def _from_start(
    pieces: tuple[Corners, Corners], start: tuple[float, float], heading: tuple[float, float]
) -> tuple[Corners, Corners]:
    """The piece that lies nearer the start of the side first."""

    def ahead(piece: Corners) -> float:
        inside = Polygon(piece).representative_point()
        return (inside.x - start[0]) * heading[0] + (inside.y - start[1]) * heading[1]

    near, far = sorted(pieces, key=ahead)
    return near, far


def _area_before(
    outline: Corners, start: tuple[float, float], heading: tuple[float, float], distance_m: float
) -> float:
    """Of an outline, the area no further ahead than a distance."""
    shape = Polygon(outline)
    far = math.hypot(shape.bounds[2] - shape.bounds[0], shape.bounds[3] - shape.bounds[1]) * 2 + 1
    (x, y), (east, north) = start, heading
    ends = [(distance_m, -far), (distance_m, far), (distance_m - 2 * far, far), (distance_m - 2 * far, -far)]
    before = Polygon([(x + a * east - b * north, y + a * north + b * east) for a, b in ends])
    return shape.intersection(before).area
