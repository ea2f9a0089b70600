"""A first layout without a solver, for the solver to go on from: on many beds it may find none in time."""

from collections import defaultdict
from collections.abc import Collection, Iterator

from plots.rotation.proposals.costs import ROUNDING_M2, dislike
from plots.rotation.proposals.types import Piece, Place, Problem, Wish

# A wish that is on a piece at all has at least this much there, or all that it could have: our construction.
LEAST_M2 = 0.25


def first_places(problem: Problem, *, avoid: Collection[Place] = ()) -> set[Place]:
    """Give each wish ground where its family has rested, season after season, and never go back.

    Parameters
    ----------
    problem : Problem
        The question.
    avoid : collection of Place
        Places that are taken only where there is no other.

    Returns
    -------
    set of Place
        The settled places, and others that break no bar and no least rest and fit on their pieces.
    """
    return set(_Table(problem, avoid).places())


class _Table:
    """Who is where so far, and how much of each piece is free in each season. [m²]"""

    def __init__(self, problem: Problem, avoid: Collection[Place]) -> None:
        self.problem, self.avoid = problem, avoid
        self.barred = {Place(bar.piece, bar.wish) for bar in problem.bars}
        self.free = {
            (each.key, season): each.area_m2 for each in problem.pieces for season in problem.seasons
        }
        self.stood: dict[tuple[str, str], set[int]] = defaultdict(set)
        self.left = {wish.key: wish.area_m2 for wish in problem.wishes}

    def places(self) -> Iterator[Place]:
        wishes = {wish.key: wish for wish in self.problem.wishes}
        pieces = {piece.key: piece for piece in self.problem.pieces}
        for place in self.problem.fixed:
            self._take(pieces[place.piece], wishes[place.wish])
            yield place
        settled = set(self.problem.fixed)
        open_wishes = [wish for wish in self.problem.wishes if not wish.stand]
        for wish in sorted(open_wishes, key=lambda each: (each.season, -each.weight, each.key)):
            for piece in self._by_preference(wish):
                place = Place(piece.key, wish.key)
                if place not in settled and self._has_room(piece, wish):
                    self._take(piece, wish)
                    yield place

    def _by_preference(self, wish: Wish) -> list[Piece]:
        def price(piece: Piece) -> tuple[bool, bool, float, float]:
            place = Place(piece.key, wish.key)
            return (
                place in self.problem.under_recommended,
                place in self.avoid,
                dislike(self.problem, *place),
                -min(self.free[piece.key, wish.season], self.left[wish.key]),
            )

        return sorted((piece for piece in self.problem.pieces if self._may(piece, wish)), key=price)

    def _may(self, piece: Piece, wish: Wish) -> bool:
        """Whether no bar and no least rest keeps a wish off a piece."""
        return Place(piece.key, wish.key) not in self.barred and not any(
            season != wish.season and abs(season - wish.season) <= rest.minimum
            for rest in wish.rests
            if rest.holds_on(piece.key)
            for season in self.stood[piece.key, rest.group]
        )

    def _has_room(self, piece: Piece, wish: Wish) -> bool:
        free, left = self.free[piece.key, wish.season], self.left[wish.key]
        if self.problem.one_crop_a_piece:
            return left > ROUNDING_M2 and free >= piece.area_m2 - ROUNDING_M2
        least = min(LEAST_M2, piece.area_m2, wish.area_m2)
        return min(free, left) >= least

    def _take(self, piece: Piece, wish: Wish) -> None:
        free = self.free[piece.key, wish.season]
        gets = free if self.problem.one_crop_a_piece else min(free, self.left[wish.key])
        self.free[piece.key, wish.season] = free - gets
        self.left[wish.key] -= gets
        for rest in wish.rests:
            if rest.holds_on(piece.key):
                self.stood[piece.key, rest.group].add(wish.season)
