"""A proposal's troubles in plain words: which wish, which ground, what stood in its way."""

from collections.abc import Callable, Mapping

from plots.rotation.problems import problems
from plots.rotation.proposals.types import (
    BARRED,
    BROKEN,
    DISLIKED,
    MISSING,
    SCATTERED,
    UNDER,
    Bar,
    Place,
    Problem,
    Proposal,
    Rest,
    Trouble,
    Wish,
)

SeasonName = Callable[[int], str]
Area = Callable[[float], str]

# What a bar's rule says; rules of the checker speak of rest.
BARS: Mapping[str, str] = {
    "rest": "rests",
    "manure": "had fresh manure",
    "lime": "had fresh lime",
    "kept": "is kept for something else",
    "closed": "is not there",
}


# Missing ground that is smaller is left unsaid: it would read as 0 m². The tolerance of overlaps.
LEAST_TOLD_M2 = 0.05


def is_told(trouble: Trouble) -> bool:
    """Whether somebody should know of it: not of ground missing that would read as 0 m²."""
    return trouble.kind != SCATTERED and (trouble.kind != MISSING or trouble.figure >= LEAST_TOLD_M2)


def square_metres(area_m2: float) -> str:
    return f"{area_m2:.1f} m²".replace(".0 m²", " m²")


def trouble_words(
    problem: Problem,
    proposal: Proposal,
    *,
    season_name: SeasonName = str,
    area: Area = square_metres,
) -> tuple[str, ...]:
    """Return one sentence for each trouble that somebody should know of, dearest first.

    Parameters
    ----------
    problem, proposal : Problem, Proposal
        The question and its answer.
    season_name : callable
        How a season is written.
    area : callable
        How an area in square metres is written.

    Returns
    -------
    tuple of str
        A wish that lacks ground names what stood in its way, piece by piece.
    """
    wishes = {wish.key: wish for wish in problem.wishes}
    pieces = {piece.key: piece.name for piece in problem.pieces}
    words = []
    for each in sorted(proposal.troubles, key=lambda trouble: (-trouble.cost, trouble.wish, trouble.piece)):
        wish = wishes[each.wish]
        if each.kind == MISSING:
            if is_told(each):
                words.append(_missing(problem, proposal, wish, each, season_name, area))
        elif is_told(each):
            settled = Place(each.piece, each.wish) in problem.fixed
            words.append(_on_a_piece(each, wish, pieces[each.piece], season_name, settled=settled))
    return tuple(words)


def _on_a_piece(trouble: Trouble, wish: Wish, piece: str, season_name: SeasonName, *, settled: bool) -> str:
    """Say what is wrong with a place; what is not settled there was put there by hand."""
    place = f"{_upper(wish.name)} in {season_name(wish.season)} on {piece}"
    between = int(trouble.figure)
    rest = f"{between} full season{'' if between == 1 else 's'} of rest before"
    both = "; both places are settled" if settled else ""
    stays = "; it is settled, so it stays" if settled else ""
    return {
        BROKEN: f"{place}: only {rest}, under the least that it needs there{both}.",
        BARRED: f"{place} stands on ground that is not free for it{stays}.",
        UNDER: f"{place} has the least rest and not the recommended one.",
        DISLIKED: f"{place} is not where it was wished.",
    }[trouble.kind]


def _missing(
    problem: Problem, proposal: Proposal, wish: Wish, trouble: Trouble, season_name: SeasonName, area: Area
) -> str:
    lack = (
        f"{_upper(wish.name)} in {season_name(wish.season)}: {area(trouble.figure)} of {area(wish.area_m2)} "
    )
    reasons = [_in_the_way(problem, proposal, wish, piece.key, season_name) for piece in problem.pieces]
    named = [f"{piece.name} {why}" for piece, why in zip(problem.pieces, reasons, strict=True) if why]
    return lack + (
        "found no place: " + "; ".join(named) + "." if named else "found no place: the plot is full."
    )


def _in_the_way(problem: Problem, proposal: Proposal, wish: Wish, piece: str, season_name: SeasonName) -> str:
    """Say what keeps a wish off a piece, empty where it is on it."""
    if any(share.piece == piece and share.wish == wish.key for share in proposal.shares):
        return ""
    bar = next((bar for bar in problem.bars if (bar.piece, bar.wish) == (piece, wish.key)), None)
    if bar is not None:
        return _barred(bar, season_name)
    others = {each.key: each for each in problem.wishes}
    standing = [others[share.wish] for share in proposal.shares if share.piece == piece]
    for rest in wish.rests:
        for other in standing:
            between = abs(other.season - wish.season) - 1
            near = rest in other.rests and between < rest.minimum and other.season != wish.season
            if near and rest.holds_on(piece):
                return f"carries {other.name} in {season_name(other.season)}, {_too_near(rest)}"
    taken = [other.name for other in standing if other.season == wish.season]
    return f"has {' and '.join(taken)}" if taken else "would leave another wish without ground"


def _too_near(rest: Rest) -> str:
    problem = problems().get(rest.group)
    return f"too near while {problem.name} may live there" if problem else "too near for its family"


def _barred(bar: Bar, season_name: SeasonName) -> str:
    until = f" until {season_name(bar.until)}" if bar.until is not None else ""
    return f"{BARS[bar.why]}{until}"


def _upper(text: str) -> str:
    return text[:1].upper() + text[1:]


def place_words(problem: Problem, place: Place) -> str:
    """Return 'carrots on bed 2'."""
    wish = next(each for each in problem.wishes if each.key == place.wish)
    piece = next(each for each in problem.pieces if each.key == place.piece)
    return f"{wish.name} on {piece.name}"
