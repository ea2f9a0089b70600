"""What a layout costs, counted without any solver: the same counting prices one changed cell at once."""

from collections.abc import Iterable, Iterator, Mapping
from itertools import combinations

from plots.rotation.proposals.types import (
    BARRED,
    BROKEN,
    DISLIKED,
    MISSING,
    SCATTERED,
    UNDER,
    Place,
    Problem,
    Share,
    Trouble,
    Wish,
)

# In tiers, each far above all of the next together on a plot of a dozen pieces: our construction. A broken
# rest is bought by nothing but a settled place; ground that is not found weighs more than a rest under the
# recommended one, that more than a place not liked, that more than a crop in several pieces.
COST_BROKEN = 1e5
COST_MISSING = 1e3
COST_UNDER = 10.0
COST_DISLIKED = 1.0
COST_SCATTERED = 0.1
# Ground smaller than this is rounding. [m²]
ROUNDING_M2 = 1e-6


def troubles_of(problem: Problem, shares: Iterable[Share]) -> tuple[Trouble, ...]:
    """List what a layout costs.

    Parameters
    ----------
    problem : Problem
        The question.
    shares : iterable of Share
        Ground of each piece that each wish has; wishes that got nothing may be left out.

    Returns
    -------
    tuple of Trouble
        Missing ground (cost by the share of the wish that is missing), broken and short rests between seasons
        and against the past, places not liked, and every piece of a wish beyond its first.
    """
    given = [share for share in shares if share.area_m2 > ROUNDING_M2]
    wishes = {wish.key: wish for wish in problem.wishes}
    return (
        *_missing(problem, given),
        *_against_the_past(problem, given),
        *_between_seasons(wishes, given),
        *_disliked(problem, given),
        *_scattered(problem, given),
    )


def _missing(problem: Problem, given: list[Share]) -> Iterator[Trouble]:
    for wish in problem.wishes:
        short_m2 = wish.area_m2 - sum(share.area_m2 for share in given if share.wish == wish.key)
        if short_m2 > ROUNDING_M2:
            yield Trouble(
                MISSING, wish.key, "", COST_MISSING * wish.weight * short_m2 / wish.area_m2, short_m2
            )


def _against_the_past(problem: Problem, given: list[Share]) -> Iterator[Trouble]:
    barred = {(bar.piece, bar.wish): bar for bar in problem.bars}
    for share in given:
        place = (share.piece, share.wish)
        if place in barred:
            yield Trouble(BARRED, share.wish, share.piece, COST_BROKEN, barred[place].until or 0)
        elif place in problem.under_recommended:
            yield Trouble(UNDER, share.wish, share.piece, COST_UNDER, 0)


def _between_seasons(wishes: Mapping[str, Wish], given: list[Share]) -> Iterator[Trouble]:
    """Price every two seasons in which one group meets one piece too soon, once a group."""
    seasons: dict[tuple[str, str], dict[int, list[Wish]]] = {}
    rests = {}
    for share in given:
        wish = wishes[share.wish]
        for rest in wish.rests:
            if rest.holds_on(share.piece):
                seasons.setdefault((share.piece, rest.group), {}).setdefault(wish.season, []).append(wish)
                rests[rest.group] = rest
    for (piece, group), stood in sorted(seasons.items()):
        rest = rests[group]
        for earlier, later in combinations(sorted(stood), 2):
            between = later - earlier - 1
            near = _new_of(stood[earlier], stood[later])
            if near is None:
                continue
            if between < rest.minimum:
                yield Trouble(BROKEN, near.key, piece, COST_BROKEN, between)
            elif between < rest.recommended:
                yield Trouble(UNDER, near.key, piece, COST_UNDER, between)


def _new_of(before: list[Wish], after: list[Wish]) -> Wish | None:
    """The wish that two seasons lie too near for, the later if either would do.

    None where all of both stands or is planned there already: that is judged as the sowings that it is.
    """
    return next((wish for wish in (*after, *before) if not wish.stand), None)


def dislike(problem: Problem, piece: str, wish: str) -> float:
    """How much less a place is liked than the best one of its wish; 0 where nothing was said of the wish."""
    liked = [value for place, value in problem.likes.items() if place.wish == wish]
    return max(*liked, 0.0) - problem.likes.get(Place(piece, wish), 0.0) if liked else 0.0


def _disliked(problem: Problem, given: list[Share]) -> Iterator[Trouble]:
    for share in given:
        less = dislike(problem, share.piece, share.wish)
        if less > 0:
            yield Trouble(DISLIKED, share.wish, share.piece, COST_DISLIKED * less, less)


def _scattered(problem: Problem, given: list[Share]) -> Iterator[Trouble]:
    for wish in problem.wishes:
        pieces = sorted(share.piece for share in given if share.wish == wish.key)
        for piece in pieces[1:]:
            yield Trouble(SCATTERED, wish.key, piece, COST_SCATTERED, len(pieces))
