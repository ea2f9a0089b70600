"""Small problems for the tests: beds, groups and seasons."""

import random

from plots.rotation.proposals import Bar, Piece, Place, Problem, Rest, Wish


def square(
    size: int, *, seasons: int | None = None, minimum: int | None = None, recommended: int | None = None
) -> Problem:
    """As many groups as beds, each wanted once a season on one whole bed."""
    least = size - 1 if minimum is None else minimum
    most = least if recommended is None else recommended
    pieces = tuple(Piece(f"bed{number}", f"bed {number}", 6.0) for number in range(1, size + 1))
    wishes = tuple(
        Wish(
            f"{group}-{season}",
            season,
            f"crop{group}",
            f"group {group}",
            6.0,
            (Rest(f"g{group}", least, most),),
        )
        for season in range(2030, 2030 + (seasons or size))
        for group in range(1, size + 1)
    )
    return Problem(pieces, wishes, one_crop_a_piece=True)


def anything(seed: int, *, one_crop_a_piece: bool = True) -> Problem:
    """A small problem out of a seed: few beds, few seasons, bars, likes, rests."""
    chance = random.Random(seed)
    pieces = tuple(
        Piece(f"bed{number}", f"bed {number}", chance.choice([1.0, 2.0, 3.0]))
        for number in range(1, chance.randint(1, 3) + 1)
    )
    rests = [
        Rest(f"g{number}", least := chance.randint(0, 2), least + chance.randint(0, 2)) for number in range(2)
    ]
    wishes = tuple(
        Wish(
            f"w{season}{number}",
            season,
            "crop",
            "beans",
            chance.choice([1.0, 2.0, 4.0]),
            (chance.choice(rests),),
        )
        for season in range(2030, 2030 + chance.randint(1, 3))
        for number in range(chance.randint(1, 2))
    )
    places = [Place(piece.key, wish.key) for piece in pieces for wish in wishes]
    return Problem(
        pieces,
        wishes,
        bars=tuple(Bar(*place, "rest", 2031) for place in places if chance.random() < 0.15),
        under_recommended=frozenset(place for place in places if chance.random() < 0.15),
        likes={place: chance.choice([-1.0, 0.0, 1.0]) for place in places if chance.random() < 0.3},
        one_crop_a_piece=one_crop_a_piece,
    )
