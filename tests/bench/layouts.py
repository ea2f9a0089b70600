"""Layouts of the coming seasons, beside HiGHS alone on the very programme that it is handed."""

import time
from collections.abc import Callable, Iterator
from functools import partial
from typing import TypeVar

from plots.rotation import rest_rules
from plots.rotation.proposals import Bar, Place, Problem, propose
from plots.rotation.proposals.solving import programme_of
from plots.rotation.proposals.types import Piece, Rest, Wish

STRIPS, SEASONS, GROUPS = 8, 6, 8
STRIP_M2 = 6.0
FIRST = 2030
WANTED_S = 2.0
ROUNDS = 3
LIMIT_S = 10.0

Answer = TypeVar("Answer")


def layouts() -> None:
    """Time four questions of eight strips, six seasons and eight groups."""
    print(
        f"\nlayouts: {STRIPS} strips, {SEASONS} seasons, {GROUPS} groups (wanted: proven in {WANTED_S:g} s)"
    )
    for name, problem in questions():
        programme = programme_of(problem)
        least, _ = _best(partial(programme.solve, LIMIT_S, 0))
        took, found = _best(partial(propose, problem, seconds=LIMIT_S))
        proof = "proven" if found.is_proven else f"gap {found.gap:.0%}"
        print(
            f"  {name:42} HiGHS alone {least:6.2f} s, layout {took:6.2f} s, {proof}, {found.cost:.1f} points"
        )


def questions() -> Iterator[tuple[str, Problem]]:
    yield "whole strips, seven seasons of rest", _problem(rest=GROUPS - 1)
    yield "whole strips, published rests, a past", _problem(past=True)
    yield "shared strips, published rests", _problem(whole=False)
    yield "shared strips, a past, uneven wishes", _problem(whole=False, past=True, uneven=True)


def _problem(
    *, rest: int | None = None, whole: bool = True, past: bool = False, uneven: bool = False
) -> Problem:
    """Each group wants a strip a season; a past bars group g from strip g in its first two seasons."""
    rules = sorted(rest_rules().values(), key=lambda rule: (-rule.minimum_seasons, rule.family))[:GROUPS]
    pieces = tuple(Piece(f"{n}", f"strip {n + 1}", STRIP_M2) for n in range(STRIPS))
    wishes = tuple(
        Wish(
            f"{season}:{group}",
            season,
            rule.family,
            rule.family,
            STRIP_M2 * ((0.5 + (group * 3 + season) % 5 / 4) if uneven else 1.0),
            (
                Rest(rule.family, rest, rest)
                if rest is not None
                else Rest(rule.family, rule.minimum_seasons, rule.recommended_seasons),
            ),
        )
        for season in range(FIRST, FIRST + SEASONS)
        for group, rule in enumerate(rules)
    )
    barred = [
        Place(f"{group}", f"{season}:{group}")
        for group in range(GROUPS)
        for season in range(FIRST, FIRST + 2)
        if past
    ]
    return Problem(
        pieces,
        wishes,
        bars=tuple(Bar(*place, "rest", FIRST + 2) for place in barred),
        one_crop_a_piece=whole,
    )


def _best(work: Callable[[], Answer]) -> tuple[float, Answer]:
    times = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        answer = work()
        times.append(time.perf_counter() - began)
    return min(times), answer
