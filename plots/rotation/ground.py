"""Ground that was used, and ground that is wanted: outlines in metres, in the one frame of a site."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import isfinite
from typing import TypeAlias

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

FEWEST_CORNERS = 3
XY = 2


@dataclass(frozen=True, slots=True)
class Checked:
    """An outline that was found to be one clear piece of ground; ``outlines_checked`` makes them."""

    polygon: Polygon


Outline: TypeAlias = Sequence[Sequence[float]] | Polygon | Checked


class OutlineFault(ValueError):
    """An outline that encloses no clear piece of ground; names the patch and says what to mend."""

    def __init__(self, key: str, reason: str) -> None:
        self.key, self.reason = key, reason
        super().__init__(f"{key}: outline {reason}")


def outline_polygon(key: str, outline: Outline) -> Polygon:
    """Return the outline as a checked polygon; the first corner may be repeated at the end."""
    if isinstance(outline, Checked):
        return outline.polygon
    polygon = _one_polygon(key, outline) if isinstance(outline, BaseGeometry) else _from_corners(key, outline)
    if polygon.convex_hull.area == 0:
        raise OutlineFault(key, "encloses no ground: its corners lie on one line; draw at least three apart")
    if not polygon.is_valid:
        where = explain_validity(polygon)
        raise OutlineFault(key, f"crosses or touches itself ({where}); list the corners once round the edge")
    return polygon


def outlines_checked(keys: Sequence[str], outlines: Sequence[Sequence[Sequence[float]]]) -> list[Checked]:
    """Check many outlines at once, as ``outline_polygon`` does one by one.

    Parameters
    ----------
    keys : sequence of str
        What each outline is called in a fault.
    outlines : sequence of corners
        One list of corners each. [m]

    Raises
    ------
    OutlineFault
        For the first outline that is no clear piece of ground.
    """
    polygons, is_ground = _polygons(outlines)
    return [
        Checked(polygon if good else outline_polygon(key, outline))
        for key, outline, polygon, good in zip(keys, outlines, polygons, is_ground, strict=True)
    ]


def _polygons(outlines: Sequence[Sequence[Sequence[float]]]) -> tuple[Sequence[Polygon], Sequence[bool]]:
    """Return all polygons, and of each whether it needs no closer look."""
    try:
        corners = np.array([corner for outline in outlines for corner in outline], dtype=float)
        owners = np.repeat(np.arange(len(outlines)), [len(outline) for outline in outlines])
        polygons = shapely.polygons(shapely.linearrings(corners, indices=owners))
    except (TypeError, ValueError):
        polygons = ()
    if len(polygons) != len(outlines) or corners.shape[1:] != (XY,):
        return [Polygon()] * len(outlines), [False] * len(outlines)
    return list(polygons), (shapely.is_valid(polygons) & (shapely.area(polygons) > 0)).tolist()


def _one_polygon(key: str, geometry: BaseGeometry) -> Polygon:
    if not isinstance(geometry, Polygon) or geometry.is_empty:
        raise OutlineFault(key, f"is a {geometry.geom_type}, empty or in pieces; give one polygon a patch")
    if not all(isfinite(value) for corner in geometry.exterior.coords for value in corner):
        raise OutlineFault(key, "has a corner that is no number; x and y must be ordinary numbers in metres")
    return geometry


def _from_corners(key: str, outline: Sequence[Sequence[float]]) -> Polygon:
    corners: list[tuple[float, float]] = []
    for number, corner in enumerate(outline, start=1):
        try:
            x_m, y_m = (float(value) for value in corner)
        except (TypeError, ValueError):
            raise OutlineFault(key, f"corner {number} is {corner!r}; give two numbers, x and y") from None
        if not (isfinite(x_m) and isfinite(y_m)):
            raise OutlineFault(key, f"corner {number} is {corner!r}; give ordinary numbers, in metres")
        corners.append((x_m, y_m))
    if len(set(corners)) < FEWEST_CORNERS:
        raise OutlineFault(key, f"has {len(set(corners))} different corners; draw at least {FEWEST_CORNERS}")
    return Polygon(corners)


@dataclass(frozen=True)
class GroundUse:
    """One crop that stood on one patch, from its first season to the last that it stood in.

    ``coarse`` marks a record known only roughly, such as a whole plot; it can warn but never accuse.
    ``failed`` marks a crop that was cleared early because it came to nothing. ``vessel`` names the container
    whose mix it stood in, empty for the ground itself: mix and the ground under it have no past in common.
    """

    key: str
    outline: Outline = field(repr=False)
    crop_key: str
    crop_name: str
    family: str
    first_season: int
    last_season: int
    coarse: bool = False
    is_root: bool = False
    failed: bool = False
    vessel: str = ""
    polygon: Polygon = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if self.last_season < self.first_season:
            raise ValueError(
                f"{self.key}: last_season {self.last_season} is before first_season {self.first_season}"
            )
        object.__setattr__(self, "polygon", outline_polygon(self.key, self.outline))


@dataclass(frozen=True)
class Wanted:
    """One sowing that asks for a patch of ground, or of the mix in a container, in a season."""

    key: str
    outline: Outline = field(repr=False)
    crop_key: str
    crop_name: str
    family: str
    season: int
    is_root: bool = False
    vessel: str = ""
    polygon: Polygon = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "polygon", outline_polygon(self.key, self.outline))
