"""The least bad layout as a mixed-integer programme, solved by HiGHS."""

from collections.abc import Iterator, Sequence
from itertools import combinations

from plots.rotation.proposals.costs import (
    COST_BROKEN,
    COST_DISLIKED,
    COST_MISSING,
    COST_SCATTERED,
    COST_UNDER,
    dislike,
    troubles_of,
)
from plots.rotation.proposals.programme import INFINITE, Programme
from plots.rotation.proposals.types import (
    Piece,
    Place,
    Problem,
    ProblemFault,
    Proposal,
    Rest,
    Share,
    Wish,
)

TIME_LIMIT_S = 10.0
# A second layout is worth showing when a quarter of its places are others: our construction.
SAME_AT_MOST = 0.75
# A wish that is on a piece at all has at least this much there, or all that it could have: our construction.
LEAST_M2 = 0.25
# Where it was settled there it may have less, so that several settled crops find room.
LEAST_SHARE = 0.01


def propose(
    problem: Problem, *, seconds: float = TIME_LIMIT_S, unlike: Sequence[Proposal] = (), seed: int = 0
) -> Proposal:
    """Find the layout of least cost.

    Parameters
    ----------
    problem : Problem
        The question.
    seconds : float
        Time limit; when it is up, the best layout found is returned with its gap. [s]
    unlike : sequence of Proposal
        Layouts that the answer must leave in at least a quarter of their places.
    seed : int
        Seed of the solver, so that the same question gets the same answer.

    Returns
    -------
    Proposal
        Priced by ``troubles_of``, which the programme's own objective mirrors.

    Raises
    ------
    ProblemFault
        When no layout is found in time, or none differs enough from those given.

    Notes
    -----
    For each piece and wish a binary says whether the wish is there, and a number how much ground it has. For
    each piece, group and season a number says whether the group is there: over any minimum + 1 seasons
    running they add up to at most 1, and every pair of seasons nearer than the recommended rest pays. A wish
    pays for ground that it does not get, so there is always a layout and nothing is relaxed in silence.
    """
    layout = _Layout(problem)
    for each in unlike:
        layout.leave(each)
    values, gap, is_proven = layout.programme.solve(seconds, seed)
    if values is None:
        kind = "differs enough from those shown" if unlike else "was found in the time given"
        raise ProblemFault(f"proposal: no layout {kind}; free a fixed place, or allow more seconds")
    shares = tuple(layout.shares(values))
    return Proposal(shares, troubles_of(problem, shares), gap, is_proven)


def programme_of(problem: Problem) -> Programme:
    """Return the programme that ``propose`` hands to the solver, for timing the solver alone."""
    return _Layout(problem).programme


class _Layout:
    """The columns of a problem: who is where, with how much ground."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.programme = Programme()
        self.barred = {Place(bar.piece, bar.wish) for bar in problem.bars}
        self.fixed = set(problem.fixed)
        self.there: dict[Place, int] = {}
        self.ground: dict[Place, int] = {}
        self.groups: dict[tuple[str, Rest, int, bool], int] = {}
        self.area_m2 = {piece.key: piece.area_m2 for piece in problem.pieces}
        self.wanted_m2 = {wish.key: wish.area_m2 for wish in problem.wishes}
        for wish in problem.wishes:
            self._lay_out(wish)
        for piece in problem.pieces:
            self._fill(piece)
            for rest in sorted({rest for wish in problem.wishes for rest in wish.rests}):
                if rest.holds_on(piece.key):
                    self._rest(piece, rest)

    def shares(self, values: Sequence[float]) -> Iterator[Share]:
        """Read the layout off the solver's answer, settled to the square millimetre."""
        for place, column in self.there.items():
            if values[column] > 0.5:
                area_m2 = values[self.ground[place]] * self._most(place) if place in self.ground else 0.0
                yield Share(*place, round(area_m2 or self._most(place), 6))

    def leave(self, other: Proposal) -> None:
        """Ask that at most three quarters of another layout's free places are used again."""
        places = [Place(share.piece, share.wish) for share in other.shares]
        free = [place for place in places if place in self.there and place not in self.fixed]
        if not free:
            raise ProblemFault("proposal: every place is settled, so no layout differs; free one")
        self.programme.row(
            -INFINITE, int(SAME_AT_MOST * len(free)), [(self.there[place], 1.0) for place in free]
        )

    def _most(self, place: Place) -> float:
        whole = self.area_m2[place.piece]
        return whole if self.problem.one_crop_a_piece else min(whole, self.wanted_m2[place.wish])

    def _lay_out(self, wish: Wish) -> None:
        """Give a wish its places, its missing ground, and the price of being in several pieces."""
        found, beds = [], []
        for piece in self.problem.pieces:
            place = Place(piece.key, wish.key)
            settled = place in self.fixed
            if wish.stand and not settled:
                continue  # what stands or is planned stays where it is
            allowed = settled or place not in self.barred
            there = self.programme.column(self._price(place), float(settled), float(allowed), integer=True)
            self.there[place] = there
            beds.append((there, 1.0))
            if self.problem.one_crop_a_piece:
                found.append((there, piece.area_m2))
                continue
            part = self.programme.column(0.0, 0.0, 1.0)
            self.ground[place] = part
            self.programme.row(-INFINITE, 0.0, [(part, 1.0), (there, -1.0)])
            least = LEAST_SHARE if settled else min(1.0, LEAST_M2 / self._most(place))
            self.programme.row(0.0, INFINITE, [(part, 1.0), (there, -least)])
            found.append((part, self._most(place)))
        missing = self.programme.column(COST_MISSING * wish.weight / wish.area_m2, 0.0, wish.area_m2)
        self.programme.row(wish.area_m2, INFINITE, [*found, (missing, 1.0)])
        more = self.programme.column(COST_SCATTERED, 0.0, INFINITE)
        self.programme.row(-INFINITE, 1.0, [*beds, (more, -1.0)])

    def _price(self, place: Place) -> float:
        if place in self.barred:
            return COST_BROKEN
        price = COST_UNDER if place in self.problem.under_recommended else 0.0
        return price + COST_DISLIKED * max(0.0, dislike(self.problem, *place))

    def _fill(self, piece: Piece) -> None:
        """Give out no more ground of a piece in a season than there is."""
        for season in self.problem.seasons:
            every = (Place(piece.key, wish.key) for wish in self.problem.wishes if wish.season == season)
            places = [place for place in every if place in self.there]
            if self.problem.one_crop_a_piece:
                self.programme.row(-INFINITE, 1.0, [(self.there[place], 1.0) for place in places])
            else:
                self.programme.row(
                    -INFINITE, piece.area_m2, [(self.ground[place], self._most(place)) for place in places]
                )

    def _rest(self, piece: Piece, rest: Rest) -> None:
        """Keep a group off a piece for its minimum, and price what lies under the recommended rest."""
        stands = {season: self._group(piece, rest, season) for season in self.problem.seasons}
        there = [season for season, column in sorted(stands.items()) if column is not None]
        settled = self._settled(piece, rest)
        for earlier, later in combinations(there, 2):
            between = later - earlier - 1
            if between >= rest.recommended:
                continue
            pairs = list(self._pairs(piece, rest, earlier, later))
            if between >= rest.minimum:
                self._pay(COST_UNDER, pairs)
            elif {earlier, later} <= settled:
                self._pay(COST_BROKEN, pairs)
            elif between == 0 or settled:
                for pair in pairs:
                    self.programme.row(-INFINITE, 1.0, pair)
        if not settled:
            self._cliques({season: stands[season] for season in there}, rest)

    def _pay(self, cost: float, pairs: Sequence[Sequence[tuple[int, float]]]) -> None:
        """One price for two seasons that lie too near, however many of their crops do."""
        if pairs:
            pays = self.programme.column(cost, 0.0, 1.0)
            for pair in pairs:
                self.programme.row(-INFINITE, 1.0, [*pair, (pays, -1.0)])

    def _pairs(self, piece: Piece, rest: Rest, earlier: int, later: int) -> Iterator[list[tuple[int, float]]]:
        """Who must not be on the piece in two seasons, if both are too near: wishes with each other, and
        wishes with what stands there already. Between things that stand or are planned nothing is to choose.
        """
        before, after = (self._group(piece, rest, season) for season in (earlier, later))
        new_before, new_after = (
            self._group(piece, rest, season, only_new=True) for season in (earlier, later)
        )
        for one, other in dict.fromkeys([(before, new_after), (new_before, after)]):
            if one is not None and other is not None:
                yield [(one, 1.0), (other, 1.0)]

    def _cliques(self, stands: dict[int, int | None], rest: Rest) -> None:
        """One row for every run of minimum + 1 seasons: far tighter than its pairs."""
        for season in sorted(stands):
            columns = (stands[each] for each in sorted(stands) if season <= each <= season + rest.minimum)
            run = [column for column in columns if column is not None]
            if len(run) > 1:
                self.programme.row(-INFINITE, 1.0, [(column, 1.0) for column in run])

    def _group(self, piece: Piece, rest: Rest, season: int, *, only_new: bool = False) -> int | None:
        """Return the column that is 1 where a group is on a piece in a season; None without a wish."""
        known = self.groups.get((piece.key, rest, season, only_new))
        if known is not None:
            return known
        on = [
            (wish, self.there[place])
            for wish in self.problem.wishes
            if wish.season == season
            and rest in wish.rests
            and (place := Place(piece.key, wish.key)) in self.there
        ]
        members = [column for wish, column in on if not (only_new and wish.stand)]
        if len(members) < 2:
            return members[0] if members else None
        if only_new and len(members) == len(on):
            return self._group(piece, rest, season)
        stands = self.programme.column(0.0, 0.0, 1.0)
        for member in members:
            self.programme.row(0.0, INFINITE, [(stands, 1.0), (member, -1.0)])
        self.groups[piece.key, rest, season, only_new] = stands
        return stands

    def _settled(self, piece: Piece, rest: Rest) -> set[int]:
        """The seasons in which a settled place holds the group on the piece."""
        return {
            wish.season
            for wish in self.problem.wishes
            if rest in wish.rests and Place(piece.key, wish.key) in self.fixed
        }
