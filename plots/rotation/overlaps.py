"""How much of a wanted patch earlier patches truly cover, small slips of the measuring tape left out."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

# Beds are paced out and re-dug: a sliver along an edge says more about the tape than about the soil.
# Common practice, no published source.
NARROWEST_STRIP_M = 0.05
SMALLEST_AREA_M2 = 0.05
SMALLEST_SHARE = 0.05

# Two halves of a split bed, stored to the millimetre, may leave a hair's breadth between them.
SEAM_M = 0.0005
# Keep "exactly 5 cm" and "exactly 5 %" on the counted side of rounding; the buffer drops what is
# thinner than some micrometres, hence a tenth of a millimetre.
STRIP_ROUNDING_M = 1e-4
ROUNDING = 1e-6


@dataclass(frozen=True, slots=True)
class Piece:
    """Ground that earlier outlines share with a wanted patch.

    ``is_whole`` says that all of it is here and none of it can be a strip too narrow to count.
    """

    ground: BaseGeometry
    area_m2: float
    is_whole: bool


NOTHING = Piece(Polygon(), 0.0, is_whole=True)


def shared_pieces(patches: npt.NDArray[np.object_], earlier: npt.NDArray[np.object_]) -> list[Piece]:
    """Return what the two of each pair share, all of them worked out and measured in bulk.

    Parameters
    ----------
    patches, earlier : arrays of polygons, shapes that broadcast against each other
        [m]

    Notes
    -----
    Clearly wide is what holds a circle as wide as the narrowest strip, seen from its area and its edge
    alone: the inradius of a region without holes is never under its area over its perimeter, since its inner
    parallel curves are never longer than its edge (Sz.-Nagy 1959, Acta Scientiarum Mathematicarum 20,
    pp. 36-47; from memory).
    """
    shared = shapely.intersection(patches, earlier)
    areas = shapely.area(shared)
    one = (shapely.get_type_id(shared) == shapely.GeometryType.POLYGON) & (
        shapely.get_num_interior_rings(shared) == 0
    )
    wide = one & (areas > NARROWEST_STRIP_M / 2 * shapely.length(shared))
    return list(map(Piece, shared, areas.tolist(), wide.tolist()))


class Pieces:
    """What earlier outlines share with one wanted patch, each worked out once.

    Parameters
    ----------
    patch : Polygon
        The wanted patch. [m]
    known : mapping of id of an outline to what it shares with the patch, optional
        Worked out already, for many patches at once; the outlines must live as long as this object.
    """

    def __init__(self, patch: Polygon, known: Mapping[int, Piece] | None = None) -> None:
        self.patch = patch
        self.area_m2 = patch.area
        self._shared = dict(known or {})
        self._kept: list[Polygon] = []  # an id is only as good as the life of what bears it
        self._counted: dict[tuple[int, ...], Piece] = {}

    def take(self, outlines: Sequence[Polygon]) -> None:
        """Work out at once what these outlines share with the patch."""
        new = [each for each in outlines if id(each) not in self._shared]
        if new:
            shared = shared_pieces(np.array([self.patch], dtype=object), np.array(new, dtype=object))
            self._shared.update((id(each), piece) for each, piece in zip(new, shared, strict=True))
            self._kept.extend(new)

    def of(self, outline: Polygon) -> Piece:
        if id(outline) not in self._shared:
            self.take([outline])
        return self._shared[id(outline)]

    def covered(self, earlier: Iterable[Polygon]) -> Piece:
        """Return the part of the patch that any of the earlier outlines cover."""
        pieces = [self.of(each) for each in earlier]
        largest = max(pieces, key=lambda piece: piece.area_m2)
        if len(pieces) == 1 or largest.area_m2 >= self.area_m2:  # it covers what all the others could
            return largest
        ground = shapely.union_all([piece.ground for piece in pieces])
        return Piece(ground, ground.area, _is_whole(ground))

    def counted(self, earlier: Iterable[Polygon]) -> Piece:
        """Return the covered part that counts, empty when all of it is within the tolerance.

        Strips narrower than 5 cm never count. What is left does not count either while it is
        both under 0.05 m² and under 5 % of the patch. The tolerance looks at all earlier outlines
        together, so that splitting one of them changes nothing.
        """
        outlines = list(earlier)
        key = tuple(map(id, outlines))
        if key not in self._counted:
            self._counted[key] = self._within_tolerance(self.covered(outlines)) if outlines else NOTHING
        return self._counted[key]

    def _within_tolerance(self, covered: Piece) -> Piece:
        left = covered if covered.is_whole else _without_strips(covered.ground)
        large = left.area_m2 >= SMALLEST_AREA_M2 - ROUNDING
        large_for_patch = left.area_m2 >= (SMALLEST_SHARE - ROUNDING) * self.area_m2
        return left if large or (large_for_patch and left.area_m2 > 0) else NOTHING


def _without_strips(ground: BaseGeometry) -> Piece:
    joined = ground.buffer(SEAM_M, join_style="mitre")
    inset_m = NARROWEST_STRIP_M / 2 + SEAM_M - STRIP_ROUNDING_M
    wide = [part for part in shapely.get_parts(joined) if not part.buffer(-inset_m).is_empty]
    if not wide:
        return NOTHING
    left = ground.intersection(shapely.union_all(wide))
    return Piece(left, left.area, is_whole=False)


def _is_whole(ground: BaseGeometry) -> bool:
    """Whether every part of some ground is clearly wide, as ``shared_pieces`` tells it."""
    return all(
        isinstance(part, Polygon) and not part.interiors and part.area > NARROWEST_STRIP_M / 2 * part.length
        for part in shapely.get_parts(ground)
    )
