"""Questions of a full plot out of a seed: eight strips, six seasons, eight groups, nothing even."""

import random

from plots.rotation import RestRule, rest_rules
from plots.rotation.proposals import Bar, Piece, Place, Problem, Rest, Wish

STRIPS, SEASONS, GROUPS = 8, 6, 8
FIRST = 2030
# Rows of a bed, in metres between them; wishes are written in half metres of row.
ROW_M = (0.25, 0.3, 0.4, 0.5, 0.6, 0.75)
PAST_SEASONS = 4


def hard(seed: int) -> Problem:
    """Return one question: a plot between three quarters and more than full, its past, settled places, likes.

    Every third plot has strips of two sizes. In the past each strip carried one group a season.
    """
    chance = random.Random(seed)
    sizes = (4.8, 6.0) if seed % 3 == 2 else (6.0,)
    pieces = tuple(Piece(f"{n}", f"strip {n + 1}", chance.choice(sizes)) for n in range(STRIPS))
    rules = sorted(rest_rules().values(), key=lambda rule: (-rule.minimum_seasons, rule.family))[:GROUPS]
    ground_m2 = sum(piece.area_m2 for piece in pieces)
    wishes = tuple(
        wish
        for season in range(FIRST, FIRST + SEASONS)
        for wish in _season(chance, season, rules, ground_m2 * chance.uniform(0.75, 1.05))
    )
    barred, under = _against_the_past(chance, pieces, wishes)
    free = [
        Place(piece.key, wish.key)
        for wish in wishes
        for piece in pieces
        if (piece.key, wish.key) not in barred
    ]
    early = [place for place in free if place.wish.startswith(str(FIRST))]
    return Problem(
        pieces,
        wishes,
        bars=tuple(Bar(*place, "rest", until) for place, until in barred.items()),
        under_recommended=frozenset(under),
        fixed=tuple(chance.sample(early, 2)) if seed % 2 else (),
        likes={place: chance.choice([-1.0, 1.0]) for place in chance.sample(free, 8)},
    )


def _season(chance: random.Random, season: int, rules: list[RestRule], wanted_m2: float) -> list[Wish]:
    """One wish for each group, uneven, adding up to about what is wanted."""
    parts = [chance.uniform(0.4, 1.6) for _ in rules]
    wishes = []
    for rule, part in zip(rules, parts, strict=True):
        row_m = chance.choice(ROW_M)
        half_metres = max(1, round(2 * wanted_m2 * part / sum(parts) / row_m))
        wishes.append(
            Wish(
                f"{season}:{rule.family}",
                season,
                rule.family,
                rule.family,
                half_metres / 2 * row_m,
                (Rest(rule.family, rule.minimum_seasons, rule.recommended_seasons),),
                weight=chance.choice([0.5, 1.0, 1.0, 1.0, 2.0]),
            )
        )
    return wishes


def _against_the_past(
    chance: random.Random, pieces: tuple[Piece, ...], wishes: tuple[Wish, ...]
) -> tuple[dict[Place, int], set[Place]]:
    """What last seasons' groups bar, with the season that frees it, and what they only leave short."""
    groups = sorted({wish.crop for wish in wishes})
    barred: dict[Place, int] = {}
    under: set[Place] = set()
    for season in range(FIRST - PAST_SEASONS, FIRST):
        for piece, group in zip(pieces, chance.sample(groups, len(groups)), strict=True):
            for wish in wishes:
                [rest] = wish.rests
                between = wish.season - season - 1
                place = Place(piece.key, wish.key)
                if wish.crop == group and between < rest.minimum:
                    barred[place] = season + rest.minimum + 1
                elif wish.crop == group and between < rest.recommended:
                    under.add(place)
    return barred, under - set(barred)
