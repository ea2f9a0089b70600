"""How much of a wanted patch earlier patches truly cover, small slips of the measuring tape left out."""

from collections.abc import Iterable

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


def covered(patch: Polygon, earlier: Iterable[Polygon]) -> BaseGeometry:
    """Return the part of a patch that any of the earlier outlines cover."""
    return shapely.union_all([patch.intersection(each) for each in earlier])


def counted(patch: Polygon, earlier: Iterable[Polygon]) -> BaseGeometry:
    """Return the covered part that counts, empty when all of it is within the tolerance.

    Strips narrower than 5 cm never count. What is left does not count either while it is
    both under 0.05 m² and under 5 % of the patch. The tolerance looks at all earlier outlines
    together, so that splitting one of them changes nothing.
    """
    ground = _without_strips(covered(patch, earlier))
    large = ground.area >= SMALLEST_AREA_M2 - ROUNDING
    large_for_patch = ground.area >= (SMALLEST_SHARE - ROUNDING) * patch.area
    return ground if large or (large_for_patch and ground.area > 0) else Polygon()


def _without_strips(ground: BaseGeometry) -> BaseGeometry:
    joined = ground.buffer(SEAM_M, join_style="mitre")
    inset_m = NARROWEST_STRIP_M / 2 + SEAM_M - STRIP_ROUNDING_M
    wide = [part for part in shapely.get_parts(joined) if not part.buffer(-inset_m).is_empty]
    return ground.intersection(shapely.union_all(wide)) if wide else Polygon()
