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
    for pieces in _ways(problem.wishes, choices, []):
        yield tuple(
            Share(piece, wish.key, area_m2[piece]) for piece, wish in zip(pieces, problem.wishes, strict=True)
        )


def _ways(wishes: tuple[Wish, ...], choices: list[list[str]], taken: list[str]) -> Iterator[list[str]]:
    if len(taken) == len(wishes):
        yield list(taken)
        return
    wish = wishes[len(taken)]
    for piece in choices[len(taken)]:
        if all(
            piece != other or _may_follow(wish, before) for other, before in zip(taken, wishes, strict=False)
        ):
            taken.append(piece)
            yield from _ways(wishes, choices, taken)
            taken.pop()


def _may_follow(wish: Wish, before: Wish) -> bool:
    if wish.season == before.season:
        return False
    between = abs(wish.season - before.season) - 1
    return all(between >= rest.minimum for rest in wish.rests if rest in before.rests)
