"""A problem and its answer as plain data, to be stored and read again."""

from collections.abc import Mapping, Sequence
from typing import Any

from plots.rotation.proposals.types import Bar, Piece, Place, Problem, Proposal, Rest, Share, Trouble, Wish

JSON = dict[str, Any]


def problem_data(problem: Problem) -> JSON:
    """Return a problem as lists and mappings of plain values, in an order that does not depend on sets."""
    return {
        "pieces": [[each.key, each.name, each.area_m2] for each in problem.pieces],
        "wishes": [
            {
                "key": each.key,
                "season": each.season,
                "crop": each.crop,
                "name": each.name,
                "area_m2": each.area_m2,
                "rests": [list(rest) for rest in each.rests],
                "weight": each.weight,
                "stand": each.stand,
            }
            for each in problem.wishes
        ],
        "bars": [list(each) for each in problem.bars],
        "under_recommended": [list(place) for place in sorted(problem.under_recommended)],
        "fixed": [list(place) for place in problem.fixed],
        "likes": [[*place, liking] for place, liking in sorted(problem.likes.items())],
        "one_crop_a_piece": problem.one_crop_a_piece,
    }


def problem_from(data: Mapping[str, Any]) -> Problem:
    """Return the problem that ``problem_data`` wrote down."""
    return Problem(
        pieces=tuple(Piece(*each) for each in data["pieces"]),
        wishes=tuple(
            Wish(**{**each, "rests": tuple(_rest(*rest) for rest in each["rests"])})
            for each in data["wishes"]
        ),
        bars=tuple(Bar(*each) for each in data["bars"]),
        under_recommended=frozenset(Place(*each) for each in data["under_recommended"]),
        fixed=tuple(Place(*each) for each in data["fixed"]),
        likes={Place(piece, wish): liking for piece, wish, liking in data["likes"]},
        one_crop_a_piece=data["one_crop_a_piece"],
    )


def _rest(group: str, minimum: int, recommended: int, pieces: Sequence[str] = ()) -> Rest:
    return Rest(group, minimum, recommended, tuple(pieces))


def answer_data(proposal: Proposal) -> JSON:
    """Return shares and troubles as plain lists; a gap that is not known is None."""
    known = proposal.gap < float("inf")
    return {
        "shares": [list(each) for each in proposal.shares],
        "troubles": [list(each) for each in proposal.troubles],
        "gap": proposal.gap if known else None,
        "is_proven": proposal.is_proven,
    }


def answer_from(data: Mapping[str, Any]) -> Proposal:
    """Return the proposal that ``answer_data`` wrote down."""
    gap = data["gap"]
    return Proposal(
        shares=tuple(Share(*each) for each in data["shares"]),
        troubles=tuple(Trouble(*each) for each in data["troubles"]),
        gap=float("inf") if gap is None else gap,
        is_proven=data["is_proven"],
    )
