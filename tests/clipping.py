"""Areas that polygons share, worked out by another way than the code's own: for tests only.

Sutherland and Hodgman, 'Reentrant polygon clipping', Communications of the ACM 17 (1974), pp. 32-42 (from
memory): clip a polygon by one side of a convex polygon after the other. The area is the shoelace formula.
"""

from collections.abc import Sequence

Corner = tuple[float, float]


def shared_area(subject: Sequence[Sequence[float]], convex: Sequence[Sequence[float]]) -> float:
    """The area that a polygon shares with a convex one whose corners run anticlockwise. [m²]"""
    piece: list[Corner] = [(x, y) for x, y in subject]
    for (ax, ay), (bx, by) in zip(convex, [*convex[1:], convex[0]], strict=True):
        piece = _left_of(piece, (ax, ay), (bx, by))
    return area(piece)


def area(piece: Sequence[Sequence[float]]) -> float:
    following = [*piece[1:], *piece[:1]]
    return abs(sum(x * v - u * y for (x, y), (u, v) in zip(piece, following, strict=True))) / 2


def _left_of(piece: list[Corner], a: Corner, b: Corner) -> list[Corner]:
    def side(p: Corner) -> float:
        return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])

    kept: list[Corner] = []
    for here, after in zip(piece, [*piece[1:], *piece[:1]], strict=True):
        if side(here) >= 0:
            kept.append(here)
        if side(here) * side(after) < 0:
            share = side(here) / (side(here) - side(after))
            kept.append((here[0] + share * (after[0] - here[0]), here[1] + share * (after[1] - here[1])))
    return kept
