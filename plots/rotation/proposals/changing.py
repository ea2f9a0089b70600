"""One cell of a layout changed by hand, without a solver; what it costs is for ``troubles_of`` to say."""

from plots.rotation.proposals.costs import ROUNDING_M2, troubles_of
from plots.rotation.proposals.types import Problem, ProblemFault, Proposal, Share


def changed(problem: Problem, proposal: Proposal, *, piece: str, season: int, wish: str | None) -> Proposal:
    """Give a piece in one season to another wish, or to none.

    Parameters
    ----------
    problem, proposal : Problem, Proposal
        The question and the layout that is changed.
    piece, season : str, int
        The cell.
    wish : str or None
        The wish of that season that shall have the piece; None leaves it empty.

    Returns
    -------
    Proposal
        The wish gives up as much of its other ground as it gets here, so it has no more than it asked for.
        What stood here goes where the wish was, then to whatever else is free that season, as far as there
        is room; the rest is missing. Settled places stay. Its gap is not known.

    Raises
    ------
    ProblemFault
        When the piece or the wish is unknown, of another season, or the piece is full of what is settled.
    """
    whole = {each.key: each.area_m2 for each in problem.pieces}
    wanted = {each.key: each for each in problem.wishes}
    if piece not in whole:
        raise ProblemFault(f"piece {piece!r} is not on this plot; choose one of its pieces")
    if wish is not None and (wish not in wanted or wanted[wish].season != season):
        raise ProblemFault(f"wish {wish!r} is none of season {season}; choose one of that season")
    if wish is not None and wanted[wish].stand and (piece, wish) not in problem.fixed:
        raise ProblemFault(f"{wanted[wish].name} stands or is planned elsewhere already and stays there")
    others = [share for share in proposal.shares if wanted[share.wish].season != season]
    table = _Season(problem, [share for share in proposal.shares if wanted[share.wish].season == season])
    moved = table.clear(piece, but=wish)
    if wish is not None:
        table.give(piece, wish)
    for key, area_m2 in moved:
        table.place(key, area_m2, but=piece)
    shares = (*others, *table.shares())
    return Proposal(shares, troubles_of(problem, shares), float("inf"), False)


class _Season:
    """Who has how much of which piece in one season."""

    def __init__(self, problem: Problem, shares: list[Share]) -> None:
        self.problem = problem
        self.has = {(share.piece, share.wish): share.area_m2 for share in shares}
        self.settled = {(place.piece, place.wish) for place in problem.fixed}
        self.whole = {each.key: each.area_m2 for each in problem.pieces}
        self.wanted = {each.key: each.area_m2 for each in problem.wishes}
        self.left: list[str] = []

    def free_m2(self, piece: str) -> float:
        return self.whole[piece] - sum(area for (each, _), area in self.has.items() if each == piece)

    def clear(self, piece: str, *, but: str | None) -> list[tuple[str, float]]:
        """Take everything off a piece that is not settled there; returns what lost how much."""
        lost = [
            (wish, area)
            for (each, wish), area in self.has.items()
            if each == piece and wish != but and (each, wish) not in self.settled
        ]
        for wish, _ in lost:
            del self.has[piece, wish]
        return lost

    def give(self, piece: str, wish: str) -> None:
        """Give a wish as much of the piece as it asked for, taking that off its other places."""
        self.has.pop((piece, wish), None)
        gets = min(self.free_m2(piece), self.wanted[wish])
        if gets <= ROUNDING_M2:
            raise ProblemFault("the bed is full of what is settled there; free that first")
        self.has[piece, wish] = gets
        over = gets + self._elsewhere(piece, wish) - self.wanted[wish]
        for other in [each for each, key in self.has if key == wish and each != piece]:
            if over > ROUNDING_M2 and (other, wish) not in self.settled:
                takes = min(over, self.has[other, wish])
                over -= takes
                self._take(other, wish, takes)

    def place(self, wish: str, area_m2: float, *, but: str) -> None:
        """Find room for what was moved: first where ground was left just now, then anywhere."""
        for piece in [*self.left, *(each for each in self.whole if each not in self.left)]:
            gets = min(area_m2, self.free_m2(piece)) if piece != but else 0.0
            if gets > ROUNDING_M2:
                self.has[piece, wish] = self.has.get((piece, wish), 0.0) + gets
                area_m2 -= gets

    def shares(self) -> list[Share]:
        order = {each.key: number for number, each in enumerate(self.problem.pieces)}
        rows = sorted(self.has.items(), key=lambda row: (order[row[0][0]], row[0][1]))
        return [Share(piece, wish, round(area, 6)) for (piece, wish), area in rows if area > ROUNDING_M2]

    def _elsewhere(self, piece: str, wish: str) -> float:
        return sum(area for (each, key), area in self.has.items() if key == wish and each != piece)

    def _take(self, piece: str, wish: str, area_m2: float) -> None:
        self.has[piece, wish] -= area_m2
        self.left.append(piece)
        if self.has[piece, wish] <= ROUNDING_M2:
            del self.has[piece, wish]
