"""Layouts of the coming seasons: four even questions, and hard ones out of seeds."""

import time
from collections.abc import Iterator

from plots.rotation import rest_rules
from plots.rotation.proposals import Bar, Place, Problem, Proposal, propose
from plots.rotation.proposals.types import Piece, Rest, Wish
from tests.bench.hard_layouts import FIRST, GROUPS, SEASONS, STRIPS, hard

STRIP_M2 = 6.0
HARD = 24
WANTED_S = 2.0
ROUNDS = 3
LIMIT_S = 10.0


def layouts() -> None:
    """Time questions of eight strips, six seasons and eight groups; the hard ones once each."""
    print(
        f"\nlayouts: {STRIPS} strips, {SEASONS} seasons, {GROUPS} groups (wanted: proven in {WANTED_S:g} s)"
    )
    for name, problem in questions():
        took, worked, found = min(
            (_timed(problem) for _ in range(ROUNDS)), key=lambda each: (each[0], each[1])
        )
        print(f"  {name:42} {took:6.2f} s, {worked:6.2f} s of processor, {_said(found)}")
    rows = [_timed(hard(seed)) for seed in range(HARD)]
    for seed, (took, worked, found) in enumerate(rows):
        print(f"  {f'hard, seed {seed}':42} {took:6.2f} s, {worked:6.2f} s of processor, {_said(found)}")
    quick = sum(found.is_proven and worked <= WANTED_S for _, worked, found in rows)
    proven = sum(found.is_proven for _, _, found in rows)
    worst = max(found.gap for _, _, found in rows)
    print(
        f"  hard: {quick} of {HARD} proven within {WANTED_S:g} s of processor, "
        f"{proven} within {LIMIT_S:g} s, worst gap {worst:.0%}"
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


def _timed(problem: Problem) -> tuple[float, float, Proposal]:
    began, worked = time.perf_counter(), time.process_time()
    found = propose(problem, seconds=LIMIT_S)
    return time.perf_counter() - began, time.process_time() - worked, found


def _said(found: Proposal) -> str:
    return f"{'proven' if found.is_proven else f'gap {found.gap:.0%}'}, {found.cost:.1f} points"
