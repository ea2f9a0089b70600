"""Cutting a bed into pieces side by side: each spans the bed and follows the last along its length."""

import math
from collections.abc import Sequence

import shapely
from shapely.affinity import rotate
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from plots.outlines import Corners

# Halving a bed of ten metres sixty times leaves far less than the tenth of a millimetre that is stored.
HALVINGS = 60
# What a cut leaves over and is smaller than this is no piece of ground. [m²]
CRUMB_M2 = 0.005
DECIMALS = 4


def strips(outline: Corners, count: int) -> list[Corners]:
    """Divide a bed into so many strips of one size, in the order of its length.

    Parameters
    ----------
    outline : Corners
        The bed in the site's frame. [m]
    count : int
        How many, 1 or more.

    Returns
    -------
    list of Corners
        One outline each; a bed whose strips would fall apart gives its largest part of each.
    """
    if count == 1:
        return [outline]
    shape = Polygon(outline)
    cut = slices(outline, [], [shape.area / count] * count)
    return [max(parts, key=lambda part: Polygon(part).area) for parts in cut]


def slices(outline: Corners, taken: Sequence[Corners], areas_m2: Sequence[float]) -> list[list[Corners]]:
    """Lay areas side by side on what is free of a bed.

    Parameters
    ----------
    outline : Corners
        The bed in the site's frame. [m]
    taken : sequence of Corners
        Ground of it that is not free.
    areas_m2 : sequence of float
        What is to be laid out, in this order from the western end. [m²]

    Returns
    -------
    list of list of Corners
        For each area its outlines: one, or several where something taken lies between. Where the bed is full
        the last ones get less, down to nothing.
    """
    bed = Polygon(outline)
    angle = _angle(bed)
    level = rotate(bed, -angle, origin=(0, 0))
    free: BaseGeometry = level
    for other in taken:
        free = free.difference(rotate(Polygon(other), -angle, origin=(0, 0)))
    found, begins = [], free.bounds[0] if not free.is_empty else 0.0
    for area_m2 in areas_m2:
        ends = _end(free, begins, area_m2)
        found.append([_outline(part, angle) for part in _parts(_between(free, begins, ends))])
        begins = ends
    return found


def _angle(bed: Polygon) -> float:
    """The direction of the longer side of the smallest rectangle round a bed, turned to run eastward."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(bed))
    sides = [(corners[at], corners[at + 1]) for at in (0, 1)]
    (x, y), (x_next, y_next) = max(sides, key=lambda side: math.dist(*side))
    angle = math.degrees(math.atan2(y_next - y, x_next - x))
    return (angle + 90.0) % 180.0 - 90.0


def _between(free: BaseGeometry, begins: float, ends: float) -> BaseGeometry:
    if free.is_empty or ends <= begins:
        return Polygon()
    _, low, _, high = free.bounds
    return free.intersection(box(begins, low - 1, ends, high + 1))


def _end(free: BaseGeometry, begins: float, area_m2: float) -> float:
    """How far along the free ground so much area reaches; its far end where there is not as much."""
    if free.is_empty:
        return begins
    low, high = begins, free.bounds[2]
    if _between(free, begins, high).area <= area_m2 + CRUMB_M2:
        return high
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if _between(free, begins, middle).area < area_m2:
            low = middle
        else:
            high = middle
    return high


def _parts(cut: BaseGeometry) -> list[Polygon]:
    """The pieces of a cut that are ground, those with a hole in them cut in two through it."""
    found: list[Polygon] = []
    for part in getattr(cut, "geoms", [cut]):
        if not isinstance(part, Polygon) or part.area < CRUMB_M2:
            continue
        if part.interiors:
            west, low, east, high = part.bounds
            middle = part.interiors[0].centroid.x
            for half in (box(west, low, middle, high), box(middle, low, east, high)):
                found.extend(_parts(part.intersection(half)))
        else:
            found.append(part)
    return found


def _outline(part: Polygon, angle: float) -> Corners:
    turned = rotate(shapely.normalize(part), angle, origin=(0, 0))
    corners = [[round(x, DECIMALS), round(y, DECIMALS)] for x, y in list(turned.exterior.coords)[:-1]]
    return corners
