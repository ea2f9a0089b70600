"""The least bad layout as a mixed-integer programme, solved by HiGHS."""

from collections.abc import Collection, Iterator, Sequence
from itertools import combinations
from time import perf_counter

from plots.rotation.proposals.costs import (
    COST_BROKEN,
    COST_DISLIKED,
    COST_MISSING,
    COST_SCATTERED,
    COST_UNDER,
    dislike,
    troubles_of,
)
from plots.rotation.proposals.packing import season_cost
from plots.rotation.proposals.programme import INFINITE, SMALLEST_STEP, Programme
from plots.rotation.proposals.searching import Found, completed, searched
from plots.rotation.proposals.starting import LEAST_M2, first_places
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
    Rows that no layout breaks tell the solver what a season (``packing``) and a wish cost at the least.
    """
    began = perf_counter()
    layout = _Layout(problem)
    for each in unlike:
        layout.leave(each)
    found = searched(layout.programme, layout.seasons(), seconds - (perf_counter() - began), seed)
    if found is None or not found.is_proven:
        found = _or_first(
            layout, found, {Place(*share[:2]) for each in unlike for share in each.shares}, seed
        )
    if found is None:
        kind = "differs enough from those shown" if unlike else "was found in the time given"
        raise ProblemFault(f"proposal: no layout {kind}; free a fixed place, or allow more seconds")
    shares = tuple(layout.shares(found.values))
    return Proposal(shares, troubles_of(problem, shares), found.gap, found.is_proven)


def _or_first(layout: "_Layout", found: Found | None, avoid: Collection[Place], seed: int) -> Found | None:
    """What was found, or the first layout where that costs less: on many beds time may be too short."""
    first = completed(layout.programme, layout.start(avoid), seed)
    if first is None:
        return found
    values, cost = first
    if found is None:
        return Found(values, float("inf"), is_proven=False)
    known = sum(price * value for price, value in zip(layout.programme.costs, found.values, strict=True))
    least = known * (1 - found.gap)
    return found if known <= cost else Found(values, (cost - least) / cost, is_proven=False)


class _Layout:
    """The columns of a problem: who is where, with how much ground."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.programme = Programme()
        self.barred = {Place(bar.piece, bar.wish) for bar in problem.bars}
        self.fixed = set(problem.fixed)
        self.there: dict[Place, int] = {}
        self.prices: dict[str, list[tuple[int, float]]] = {}
        self.ground: dict[Place, int] = {}
        self.groups: dict[tuple[str, Rest, int, bool], int] = {}
        self.area_m2 = {piece.key: piece.area_m2 for piece in problem.pieces}
        self.wanted_m2 = {wish.key: wish.area_m2 for wish in problem.wishes}
        for wish in problem.wishes:
            self._lay_out(wish)
        if not problem.one_crop_a_piece:
            self._bound_seasons()
        for piece in problem.pieces:
            self._fill(piece)
            for rest in sorted({rest for wish in problem.wishes for rest in wish.rests}):
                if rest.holds_on(piece.key):
                    self._rest(piece, rest)

    def seasons(self) -> list[list[int]]:
        """The columns that say who is where, season by season; whole pieces need no parting."""
        if self.problem.one_crop_a_piece:
            return [list(self.there.values())]
        season = {wish.key: wish.season for wish in self.problem.wishes}
        return [
            [column for place, column in self.there.items() if season[place.wish] == each]
            for each in self.problem.seasons
        ]

    def shares(self, values: Sequence[float]) -> Iterator[Share]:
        """Read the layout off the solver's answer, settled to the square millimetre."""
        for place, column in self.there.items():
            if values[column] > 0.5:
                area_m2 = values[self.ground[place]] * self._most(place) if place in self.ground else 0.0
                yield Share(*place, round(area_m2 or self._most(place), 6))

    def start(self, avoid: Collection[Place]) -> dict[int, float]:
        """Of a layout to begin with, whether each wish is on each piece, by column."""
        taken = first_places(self.problem, avoid=avoid)
        return {column: float(place in taken) for place, column in self.there.items()}

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
        price = COST_MISSING * wish.weight / wish.area_m2
        missing = self.programme.column(price, 0.0, wish.area_m2)
        self.programme.row(wish.area_m2, INFINITE, [*found, (missing, 1.0)])
        self._round_up(wish, beds, missing)
        more = self.programme.column(COST_SCATTERED, 0.0, INFINITE)
        self.programme.row(-INFINITE, 1.0, [*beds, (more, -1.0)])
        self.prices[wish.key] = [(missing, price), (more, COST_SCATTERED)]

    def _bound_seasons(self) -> None:
        """No season costs less than its areas alone make it: that tells the solver when to stop looking."""
        known: dict[tuple[tuple[float, float], ...], float] = {}
        for season in self.problem.seasons:
            wishes = [wish for wish in self.problem.wishes if wish.season == season]
            asked = tuple(sorted((wish.area_m2, wish.weight) for wish in wishes))
            if asked not in known:
                known[asked] = season_cost(self.problem.pieces, wishes)
            terms = [term for wish in wishes for term in self.prices[wish.key]]
            self.programme.row(known[asked] - SMALLEST_STEP / 10, INFINITE, terms)

    def _round_up(self, wish: Wish, beds: list[tuple[int, float]], missing: int) -> None:
        """A wish larger than its n - 1 largest places is in n of them, or lacks what the n-th would hold."""
        left_m2 = wish.area_m2
        sizes = [
            self._most(place)
            for piece in self.problem.pieces
            if (place := Place(piece.key, wish.key)) in self.there
            and (place in self.fixed or place not in self.barred)
        ]
        for pieces, size in enumerate(sorted(sizes, reverse=True), start=1):
            if size >= left_m2 - LEAST_SHARE * wish.area_m2:
                self.programme.row(pieces, INFINITE, [*beds, (missing, 1.0 / min(size, left_m2))])
                break
            left_m2 -= size

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
        if not settled and rest.recommended < 2 * rest.minimum + 2:
            self._cliques({season: stands[season] for season in there}, rest)
            if rest.recommended > rest.minimum:
                self._visits({n: column for n, column in stands.items() if column is not None}, rest)
            return
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

    def _visits(self, stands: dict[int, int], rest: Rest) -> None:
        """A group comes to a piece, goes and comes again: one path through the seasons; short steps pay.

        The path's rows are a network's, so they leave nothing between a fraction and a whole answer.
        """
        into: dict[int, list[tuple[int, float]]] = {season: [] for season in stands}
        out: dict[int, list[tuple[int, float]]] = {season: [] for season in stands}
        first: list[tuple[int, float]] = [(column, 1.0) for column in stands.values()]
        for earlier, later in combinations(sorted(stands), 2):
            between = later - earlier - 1
            if between >= rest.minimum:
                step = self.programme.column(COST_UNDER if between < rest.recommended else 0.0, 0.0, 1.0)
                into[later].append((step, -1.0))
                out[earlier].append((step, -1.0))
                first.append((step, -1.0))
        for season, column in stands.items():
            for steps in (into[season], out[season]):
                if steps:
                    self.programme.row(0.0, INFINITE, [(column, 1.0), *steps])
        self.programme.row(-INFINITE, 1.0, first)

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
