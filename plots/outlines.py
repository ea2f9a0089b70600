"""Outlines as they are stored: a list of corners in metres in the site's frame."""

import math
from typing import Any

from django.core.exceptions import ValidationError
from shapely import Polygon
from shapely.validation import explain_validity

Corners = list[list[float]]


def polygon(corners: Corners) -> Polygon:
    return Polygon(corners)


def validate_outline(value: Any) -> None:
    """Refuse what is no piece of ground, and say why."""
    try:
        corners = [(float(x), float(y)) for x, y in value]
    except (TypeError, ValueError):
        raise ValidationError("an outline is a list of corners, each with metres east and north") from None
    if len(corners) < 3:
        raise ValidationError(f"an outline needs at least three corners, this one has {len(corners)}")
    if not all(math.isfinite(x) and math.isfinite(y) for x, y in corners):
        raise ValidationError("an outline's corners must be finite numbers of metres")
    shape = Polygon(corners)
    if not shape.is_valid:
        raise ValidationError(f"the outline crosses itself: {explain_validity(shape)}")
    if shape.area <= 0:
        raise ValidationError("the outline encloses no ground")


def rectangle(
    corner: tuple[float, float], *, length_m: float, width_m: float, angle_deg: float = 0.0
) -> Corners:
    """Corners of a rectangle from its first corner, turned anticlockwise from east."""
    turn = math.radians(angle_deg)
    along = (length_m * math.cos(turn), length_m * math.sin(turn))
    across = (-width_m * math.sin(turn), width_m * math.cos(turn))
    x, y = corner
    corners = [
        (x, y),
        (x + along[0], y + along[1]),
        (x + along[0] + across[0], y + along[1] + across[1]),
        (x + across[0], y + across[1]),
    ]
    return [[round(east, 4), round(north, 4)] for east, north in corners]
