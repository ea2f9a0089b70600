"""The least that one season costs by its areas alone, whatever rests and past ask for."""

from collections.abc import Iterator, Sequence
from itertools import product

import numpy as np
from numpy.typing import NDArray

from plots.rotation.proposals.costs import COST_MISSING, COST_SCATTERED, ROUNDING_M2
from plots.rotation.proposals.types import Piece, Wish

# Every set of a season's wishes is gone through, on every number of pieces of each size. Beyond so many
# wishes nothing is said; beyond so many numbers the nearest sizes count as the larger one.
MOST_WISHES = 9
MOST_COUNTS = 30

Counts = tuple[int, ...]


def season_cost(pieces: Sequence[Piece], wishes: Sequence[Wish]) -> float:
    """Return what a season's missing ground and its crops in several pieces cost at the least.

    Parameters
    ----------
    pieces, wishes : sequence of Piece, sequence of Wish
        Ground and wishes of one season. [m²]

    Returns
    -------
    float
        No layout costs less. 0 where there are too many wishes to go through.

    Notes
    -----
    Wishes that hang together by common pieces make a bundle. In a bundle every wish and every piece is
    reached, so there are at least as many places as wishes and pieces less one: each piece beyond the
    bundle's first is a scattering. So the season costs as much as its cheapest parting into bundles.
    """
    if not wishes or not pieces or len(wishes) > MOST_WISHES:
        return 0.0
    sizes, counts = _classes([piece.area_m2 for piece in pieces])
    shape = tuple(count + 1 for count in counts)
    bundles = _Bundles(sizes, shape, wishes)
    every = (1 << len(wishes)) - 1
    ways = {part: list(bundles.ways(part)) for part in range(1, every + 1)}
    least = [np.zeros(shape)]
    for subset in range(1, every + 1):
        least.append(_parted(subset, ways, least, shape))
    return float(least[every].min())


def _classes(areas_m2: Sequence[float]) -> tuple[list[float], list[int]]:
    """Sizes and how many pieces there are of each, as few sizes as can be gone through."""
    rounded = [round(area + ROUNDING_M2, 6) for area in areas_m2]
    sizes = sorted(set(rounded))
    counts = [rounded.count(size) for size in sizes]
    while np.prod([count + 1 for count in counts]) > MOST_COUNTS:
        near = min(range(len(sizes) - 1), key=lambda n: counts[n] * (sizes[n + 1] - sizes[n]))
        counts[near + 1] += counts.pop(near)
        sizes.pop(near)
    return sizes, counts


def _parted(
    subset: int,
    ways: dict[int, list[tuple[Counts, float]]],
    least: Sequence[NDArray[np.float64]],
    shape: Counts,
) -> NDArray[np.float64]:
    """Part a set of wishes into the bundle of its first wish and the rest, on every number of pieces."""
    best = np.full(shape, np.inf)
    first = subset & -subset
    part = subset
    while part:
        if part & first:
            others = least[subset ^ part]
            for counts, cost in ways[part]:
                here = best[tuple(slice(count, None) for count in counts)]
                left = others[tuple(slice(None, size - n) for size, n in zip(shape, counts, strict=True))]
                np.minimum(here, left + cost, out=here)
        part = (part - 1) & subset
    return best


class _Bundles:
    """What sets of wishes, as bits, cost on so many pieces of each size."""

    def __init__(self, sizes: Sequence[float], shape: Counts, wishes: Sequence[Wish]) -> None:
        self.areas = [wish.area_m2 for wish in wishes]
        self.rates = [COST_MISSING * wish.weight / wish.area_m2 for wish in wishes]
        self.cheapest = sorted(range(len(wishes)), key=lambda wish: self.rates[wish])
        self.grounds = [
            (
                counts,
                sum(count * size for count, size in zip(counts, sizes, strict=True)),
                min((size for count, size in zip(counts, sizes, strict=True) if count), default=0.0),
            )
            for counts in product(*(range(each) for each in shape))
        ]

    def ways(self, part: int) -> Iterator[tuple[Counts, float]]:
        """Numbers of pieces for a bundle and its cost; with a piece that it can spare it is never cheaper."""
        members = [wish for wish in self.cheapest if part >> wish & 1]
        wanted_m2 = sum(self.areas[wish] for wish in members)
        for counts, ground_m2, smallest_m2 in self.grounds:
            if not any(counts):
                if len(members) == 1:
                    yield counts, self._missing(members, wanted_m2)
            elif ground_m2 - smallest_m2 < wanted_m2 - ROUNDING_M2:
                missing = self._missing(members, wanted_m2 - ground_m2)
                yield counts, missing + COST_SCATTERED * (sum(counts) - 1)

    def _missing(self, members: Sequence[int], lacks_m2: float) -> float:
        """The price of so much missing ground where it is cheapest."""
        cost = 0.0
        for wish in members:
            if lacks_m2 <= ROUNDING_M2:
                break
            cost += self.rates[wish] * min(lacks_m2, self.areas[wish])
            lacks_m2 -= self.areas[wish]
        return cost
