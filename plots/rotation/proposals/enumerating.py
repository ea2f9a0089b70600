"""Every layout of a small problem, one crop a piece, without a solver."""

from collections.abc import Iterator

from plots.rotation.proposals.types import Place, Problem, Share, Wish


def layouts(problem: Problem) -> Iterator[tuple[Share, ...]]:
    """Yield every layout in which each wish has exactly one piece and no rest or bar is broken.

    Parameters
    ----------
    problem : Problem
        Each wish is given one whole piece; a piece has one wish a season.

    Yields
    ------
    tuple of Share
        In the order of the wishes.
    """
    area_m2 = {piece.key: piece.area_m2 for piece in problem.pieces}
    barred = {Place(bar.piece, bar.wish) for bar in problem.bars}
    fixed = {place.wish: place.piece for place in problem.fixed}
    choices = [
        [
            piece
            for piece in ([fixed[wish.key]] if wish.key in fixed else area_m2)
            if Place(piece, wish.key) not in barred
        ]
        for wish in problem.wishes
    ]
    bars = {
        piece: [
            sum(
                1 << other
                for other, each in enumerate(problem.wishes)
                if other != place and not _may_meet(wish, each, piece)
            )
            for place, wish in enumerate(problem.wishes)
        ]
        for piece in area_m2
    }
    for pieces in _ways(choices, bars, dict.fromkeys(area_m2, 0)):
        yield tuple(
            Share(piece, wish.key, area_m2[piece]) for piece, wish in zip(pieces, problem.wishes, strict=True)
        )


def _ways(
    choices: list[list[str]], bars: dict[str, list[int]], standing: dict[str, int]
) -> Iterator[list[str]]:
    """Walk through the wishes and back; ``standing`` has one bit for each wish on a piece."""
    taken: list[str] = []
    waiting = [iter(choices[0])] if choices else []
    while waiting:
        if len(taken) == len(waiting):  # come back to a wish: take it off its piece first
            standing[taken.pop()] ^= 1 << len(taken)
        wish = len(taken)
        piece = next((each for each in waiting[-1] if not standing[each] & bars[each][wish]), None)
        if piece is None:
            waiting.pop()
            continue
        taken.append(piece)
        standing[piece] |= 1 << wish
        if len(taken) == len(choices):
            yield taken
        else:
            waiting.append(iter(choices[len(taken)]))


def _may_meet(wish: Wish, other: Wish, piece: str) -> bool:
    """Whether two wishes may have a piece, each in its season."""
    between = abs(wish.season - other.season) - 1
    return between >= 0 and not any(
        between < rest.minimum for rest in wish.rests if rest in other.rests and rest.holds_on(piece)
    )
