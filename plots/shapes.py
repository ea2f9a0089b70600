"""Ground as people give it, a rectangle at an angle or its corners, turned into a checked outline."""

import math
from dataclasses import dataclass

from django.core.exceptions import ValidationError

from plots.outlines import Corners, rectangle, validate_outline

SMALLEST_SIDE_M = 0.05
# Ten kilometres: what is further off is a slip of the keyboard, or degrees instead of metres.
FURTHEST_M = 10_000
MOST_CORNERS = 200


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle from one corner, in metres east and north, turned anticlockwise from east."""

    x_m: float
    y_m: float
    length_m: float
    width_m: float
    angle_deg: float = 0.0


Shape = Rectangle | Corners


def outline_of(shape: Shape) -> Corners:
    """Corners in the site's frame; ValidationError names the field that makes no ground."""
    if isinstance(shape, Rectangle):
        _refuse_bad_rectangle(shape)
        return rectangle(
            (shape.x_m, shape.y_m),
            length_m=shape.length_m,
            width_m=shape.width_m,
            angle_deg=shape.angle_deg,
        )
    return _from_corners(shape)


def sides_faults(*, length_m: float, width_m: float) -> dict[str, list[str]]:
    """What is wrong with a length and a width, by field."""
    faults = {}
    for name, value in (("length_m", length_m), ("width_m", width_m)):
        if not (math.isfinite(value) and SMALLEST_SIDE_M <= value <= FURTHEST_M):
            faults[name] = [
                f"{value:g} m is no side of a piece of ground; give {SMALLEST_SIDE_M:g} m or more"
            ]
    return faults


def offset_faults(*, along_m: float, across_m: float) -> dict[str, list[str]]:
    """What is wrong with a place given by its distance from a corner, by field."""
    return {
        name: [f"{value:g} m is nowhere on the site; give metres from the first corner"]
        for name, value in (("along_m", along_m), ("across_m", across_m))
        if not (math.isfinite(value) and abs(value) <= FURTHEST_M)
    }


def _refuse_bad_rectangle(shape: Rectangle) -> None:
    faults = sides_faults(length_m=shape.length_m, width_m=shape.width_m)
    for name, value in (("x_m", shape.x_m), ("y_m", shape.y_m)):
        if not (math.isfinite(value) and abs(value) <= FURTHEST_M):
            faults[name] = [f"{value:g} is not on the site; give metres from the site's own corner"]
    if not (math.isfinite(shape.angle_deg) and -360 <= shape.angle_deg <= 360):
        faults["angle_deg"] = [f"{shape.angle_deg:g} is no angle; give degrees between -360 and 360"]
    if faults:
        raise ValidationError(faults)


def _from_corners(corners: Corners) -> Corners:
    try:
        if len(corners) > MOST_CORNERS:
            raise ValidationError(
                f"{len(corners)} corners are more than the {MOST_CORNERS} allowed; leave some out"
            )
        if _is_far(corners):
            raise ValidationError("a corner is more than 10 km away; give metres from the site's own corner")
        validate_outline(corners)
    except ValidationError as fault:
        raise ValidationError({"outline": fault.messages}) from None
    rounded = [[round(float(x), 4), round(float(y), 4)] for x, y in corners]
    return rounded[:-1] if rounded[0] == rounded[-1] else rounded


def _is_far(corners: Corners) -> bool:
    """Asked before anything else: so far off no shape can be told. What is no number is left to the rest."""
    try:
        return any(math.isfinite(value) and abs(value) > FURTHEST_M for corner in corners for value in corner)
    except TypeError:
        return False
