"""Corners of a piece of ground from taped lengths: sides and diagonals, adjusted by least squares. Pure.

Measurements that are more than enough are not thrown away: they say how well the others were taken.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from shapely import Polygon

FEWEST_CORNERS, MOST_CORNERS = 3, 10
# Misclosure still taken, as a share of the way round: common practice, no published source.
LARGEST_SHARE = 1 / 200
_ROUNDS, _STILL_M = 60, 1e-10

Ends = tuple[int, int]
Floats = NDArray[np.float64]


class SurveyFault(ValueError):
    """Lengths that make no ground; ``ends`` are the corners, counted from 1, of the one to measure again."""

    def __init__(self, said: str, ends: Ends | None = None) -> None:
        super().__init__(said)
        self.ends = ends


@dataclass(frozen=True, slots=True)
class Survey:
    """Corners as they fit the lengths best, and how well they do.

    Parameters
    ----------
    corners : tuple of (float, float)
        In the order walked; the first lies at 0, 0 and the second on the axis of the first coordinate. [m]
    checks : int
        How many lengths were measured beyond those needed.
    misclosure_m : float or None
        Standard deviation of one length, as the checks give it; None without any check. [m]
    worst : tuple of int or None
        The corners between which the length fits worst.
    worst_by_m : float
        Measured less adjusted, of that length. [m]
    """

    corners: tuple[tuple[float, float], ...]
    checks: int
    misclosure_m: float | None
    worst: Ends | None
    worst_by_m: float

    @property
    def misclosure_cm(self) -> float | None:
        return None if self.misclosure_m is None else self.misclosure_m * 100


def survey(corner_count: int, lengths: Mapping[Ends, float], *, clockwise: bool = False) -> Survey:
    """Solve corners from the lengths between them.

    Parameters
    ----------
    corner_count : int
        3 to 10.
    lengths : mapping of (int, int) to float
        Between two corners, counted from 1 in the order walked. All sides, and at least as many diagonals as
        there are corners beyond three; the least that is needed must lie inside the ground. [m]
    clockwise : bool
        Whether the ground lay on the right hand of whoever walked round it.

    Returns
    -------
    Survey

    Raises
    ------
    SurveyFault
        A side or a diagonal is missing, a length is no length, lengths do not meet in a triangle, the
        outline crosses itself, or the misclosure is above ``LARGEST_SHARE`` of the way round.

    Notes
    -----
    Corners are placed one after the other by the law of cosines, then moved by Gauss-Newton until the sum of
    squared differences is least, all lengths weighing the same. The misclosure is the standard deviation of
    unit weight, the root of that sum over the number of checks. Which length is at fault is told by the
    residual over its own standard deviation; a single check gives all of them the same, so there the
    largest residual is named.

    References
    ----------
    Ghilani, C. D., Adjustment Computations: Spatial Data Analysis, 6th ed. (2017), ch. 14 (horizontal
    trilateration) and ch. 21 (blunder detection), cited from memory.
    """
    known = _checked(corner_count, lengths)
    best = _best(corner_count, known)
    checks = len(known) - (2 * corner_count - 3)
    if checks:
        misclosure_m: float | None = math.sqrt(float(best.residuals @ best.residuals) / checks)
    else:
        misclosure_m = None
    at = _worst(best, checks)
    found = Survey(
        corners=tuple((float(x), float(-y if clockwise else y)) for x, y in best.corners),
        checks=checks,
        misclosure_m=misclosure_m,
        worst=best.ends[at] if checks else None,
        worst_by_m=float(best.residuals[at]) if checks else 0.0,
    )
    _refuse_misfit(found, sum(known[side] for side in _sides(corner_count)))
    if not Polygon(found.corners).is_valid:
        raise SurveyFault("the outline crosses itself; number the corners in the order walked round the edge")
    return found


def placed(
    corners: Sequence[Sequence[float]], *, corner: tuple[float, float], angle_deg: float
) -> list[list[float]]:
    """Return the corners from the first one on, the first side turned so from east. [m, degrees]"""
    turn = math.radians(angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    return [
        [round(corner[0] + x * cos - y * sin, 4), round(corner[1] + x * sin + y * cos, 4)] for x, y in corners
    ]


def survey_words(found: Survey) -> str:
    """'The lengths close within 3 cm; the worst fit is between corners 2 and 4, by 4 cm.'"""
    if found.misclosure_cm is None or found.worst is None:
        return "There is nothing to check the lengths against; tape one more diagonal if you can."
    one, other = found.worst
    return (
        f"The lengths close within {_cm(found.misclosure_cm)}; the worst fit is between corners {one} and "
        f"{other}, by {_cm(abs(found.worst_by_m) * 100)}."
    )


@dataclass(frozen=True, slots=True)
class _Solved:
    corners: Floats
    ends: tuple[Ends, ...]
    residuals: Floats
    design: Floats


def _sides(count: int) -> list[Ends]:
    return [(number, number + 1) for number in range(1, count)] + [(1, count)]


def _checked(count: int, lengths: Mapping[Ends, float]) -> dict[Ends, float]:
    """Every length under its lower corner first, once."""
    if not FEWEST_CORNERS <= count <= MOST_CORNERS:
        raise SurveyFault(f"give {FEWEST_CORNERS} to {MOST_CORNERS} corners; these are {count}")
    known: dict[Ends, float] = {}
    for (one, other), length in lengths.items():
        ends = (min(one, other), max(one, other))
        if one == other or ends[0] < 1 or ends[1] > count:
            raise SurveyFault(f"{one}-{other} joins no two corners of {count}; give two different ones", ends)
        if not (math.isfinite(length) and length > 0):
            raise SurveyFault(f"{length:g} m is no length between corners {one} and {other}; tape it", ends)
        if ends in known:
            raise SurveyFault(f"the length between corners {ends[0]} and {ends[1]} stands twice", ends)
        known[ends] = length
    for ends in _sides(count):
        if ends not in known:
            raise SurveyFault(f"the side between corners {ends[0]} and {ends[1]} is missing; tape it", ends)
    missing = 2 * count - 3 - len(known)
    if missing > 0:
        many = "one more diagonal" if missing == 1 else f"{missing} more diagonals"
        raise SurveyFault(f"{many} needed: sides alone do not say how the corners stand; tape from corner 1")
    return known


def _best(count: int, known: Mapping[Ends, float]) -> _Solved:
    """The solution of the least misfit. Mirrored triangles are tried only where the usual start fits ill."""
    around = sum(known[side] for side in _sides(count))
    first = _adjusted(known, _start(count, known, (1,) * (count - 2)))
    if float(np.max(np.abs(first.residuals))) <= LARGEST_SHARE * around:
        return first
    others = (_adjusted(known, _start(count, known, signs)) for signs in product((1, -1), repeat=count - 2))
    sound = [each for each in others if Polygon(each.corners).is_valid]
    return min([first, *sound], key=lambda each: float(each.residuals @ each.residuals))


def _start(count: int, known: Mapping[Ends, float], signs: Sequence[int]) -> Floats:
    """Corners by the law of cosines. A triangle inside the ground turns as its corners are numbered."""
    at = {1: (0.0, 0.0), 2: (known[1, 2], 0.0)}
    for sign in signs:
        found = next(
            (
                (new, a, b)
                for new in range(1, count + 1)
                if new not in at
                for a in sorted(at)
                for b in sorted(at)
                if a < b and _ends(a, new) in known and _ends(b, new) in known
            ),
            None,
        )
        if found is None:
            raise SurveyFault(
                "the diagonals do not fix every corner; tape from one corner to all that it can see"
            )
        new, a, b = found
        turns = 1 if (a < b < new or b < new < a or new < a < b) else -1
        at[new] = _apex(at[a], at[b], known[_ends(a, new)], known[_ends(b, new)], sign * turns, (a, b, new))
    return np.array([at[number] for number in range(1, count + 1)])


def _apex(
    one: tuple[float, float], other: tuple[float, float], from_one: float, from_other: float, turns: int,
    names: tuple[int, int, int],
) -> tuple[float, float]:  # fmt: skip
    base = math.dist(one, other)
    slack = LARGEST_SHARE * (base + from_one + from_other)
    longest = max(base, from_one, from_other)
    if 2 * longest > base + from_one + from_other + slack:
        a, b, new = names
        raise SurveyFault(
            f"corners {a}, {b} and {new} make no triangle: {longest:g} m is more than the other two lengths "
            "together; tape these three again",
            (a, new),
        )
    along = (from_one**2 - from_other**2 + base**2) / (2 * base)
    up = math.sqrt(max(from_one**2 - along**2, 0.0)) * turns
    east, north = (other[0] - one[0]) / base, (other[1] - one[1]) / base
    return one[0] + along * east - up * north, one[1] + along * north + up * east


def _ends(one: int, other: int) -> Ends:
    return (min(one, other), max(one, other))


def _adjusted(known: Mapping[Ends, float], start: Floats) -> _Solved:
    """Gauss-Newton over all coordinates but the three that fix the frame."""
    ends = tuple(sorted(known))
    measured = np.array([known[each] for each in ends])
    one, other = np.array(ends).T - 1
    corners = start.copy()
    free = [2, *range(4, 2 * len(corners))]
    for _ in range(_ROUNDS):
        away = corners[other] - corners[one]
        reached = np.hypot(away[:, 0], away[:, 1])
        design = _design(away, reached, one, other, len(corners))[:, free]
        step = np.linalg.lstsq(design, measured - reached, rcond=None)[0]
        corners.reshape(-1)[free] += step
        if float(np.max(np.abs(step))) < _STILL_M:
            break
    away = corners[other] - corners[one]
    return _Solved(corners, ends, measured - np.hypot(away[:, 0], away[:, 1]), design)


def _design(
    away: Floats, reached: Floats, one: NDArray[np.int_], other: NDArray[np.int_], count: int
) -> Floats:
    """How each length grows with each coordinate."""
    design = np.zeros((len(reached), 2 * count))
    heading = away / np.maximum(reached, 1e-9)[:, None]
    rows = np.arange(len(reached))
    for axis in (0, 1):
        design[rows, 2 * one + axis] = -heading[:, axis]
        design[rows, 2 * other + axis] = heading[:, axis]
    return design


def _worst(best: _Solved, checks: int) -> int:
    size = np.abs(best.residuals)
    if checks > 1:
        spread = 1 - np.einsum("ij,ji->i", best.design, np.linalg.pinv(best.design))
        size = np.where(spread > 1e-9, size / np.sqrt(np.maximum(spread, 1e-9)), 0.0)
    return int(np.argmax(size))


def _refuse_misfit(found: Survey, around_m: float) -> None:
    if found.misclosure_m is None or found.misclosure_m <= LARGEST_SHARE * around_m or found.worst is None:
        return
    one, other = found.worst
    raise SurveyFault(
        f"the lengths do not close: they miss by {_cm(found.misclosure_m * 100)}, more than "
        f"{_cm(LARGEST_SHARE * around_m * 100)}, one part in {round(1 / LARGEST_SHARE)} of the way round. "
        f"Between corners {one} and {other} it fits worst, by {_cm(abs(found.worst_by_m) * 100)}; "
        "tape that again first",
        found.worst,
    )


def _cm(value: float) -> str:
    return f"{value:.0f} cm" if value >= 9.95 else f"{value:.1f} cm"
