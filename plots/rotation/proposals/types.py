"""What a proposal is asked and what it answers: pieces of ground, wishes by season, and who goes where."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NamedTuple


class ProblemFault(ValueError):
    """A question that makes no sense; the message names the field and the remedy."""


class Rest(NamedTuple):
    """Full seasons that a group of crops stays off the same ground: the least, and what is recommended.

    ``pieces`` are those on which it holds, where it does not hold everywhere: a problem was seen there.
    """

    group: str
    minimum: int
    recommended: int
    pieces: tuple[str, ...] = ()

    def holds_on(self, piece: str) -> bool:
        return not self.pieces or piece in self.pieces


@dataclass(frozen=True, slots=True)
class Piece:
    """One bed or strip that is given out, ``area_m2`` in square metres."""

    key: str
    name: str
    area_m2: float


@dataclass(frozen=True, slots=True)
class Wish:
    """So much ground for one crop in one season; ``weight`` says how much it matters beside the others.

    Where ``stand`` is not empty it names what stands or is planned already: it stays on its settled place,
    and rests between two such are no matter of a layout's.
    """

    key: str
    season: int
    crop: str
    name: str
    area_m2: float
    rests: tuple[Rest, ...] = ()
    weight: float = 1.0
    stand: str = ""


class Bar(NamedTuple):
    """Ground that a wish may not have: ``why`` is a rule's name, ``until`` the season that frees it."""

    piece: str
    wish: str
    why: str
    until: int | None = None


class Place(NamedTuple):
    """A piece and a wish together, by their keys."""

    piece: str
    wish: str


@dataclass(frozen=True, slots=True)
class Problem:
    """The coming seasons of one plot.

    Parameters
    ----------
    pieces : tuple of Piece
        Ground that can be given out.
    wishes : tuple of Wish
        What is wanted, each in its season.
    bars : tuple of Bar
        What the past, manure or lime forbids.
    under_recommended : frozenset of Place
        Places where the past leaves less than the recommended rest.
    fixed : tuple of Place
        Places that are settled; they stay even on barred ground, and are then reported.
    likes : mapping of Place to float
        How much a place is liked, 1 very much, -1 not at all.
    one_crop_a_piece : bool
        Give each piece to one wish a season, instead of letting wishes share it.

    Raises
    ------
    ProblemFault
        When a key is unknown or doubled, or an area is not above 0.
    """

    pieces: tuple[Piece, ...]
    wishes: tuple[Wish, ...]
    bars: tuple[Bar, ...] = ()
    under_recommended: frozenset[Place] = frozenset()
    fixed: tuple[Place, ...] = ()
    likes: Mapping[Place, float] = field(default_factory=dict)
    one_crop_a_piece: bool = False

    def __post_init__(self) -> None:
        _refuse_bad("pieces", [(each.key, each.area_m2) for each in self.pieces])
        _refuse_bad("wishes", [(each.key, each.area_m2) for each in self.wishes])
        pieces, wishes = {each.key for each in self.pieces}, {each.key for each in self.wishes}
        named = [
            *self.fixed,
            *self.under_recommended,
            *self.likes,
            *((bar.piece, bar.wish) for bar in self.bars),
        ]
        for piece, wish in named:
            if piece not in pieces or wish not in wishes:
                raise ProblemFault(
                    f"place {piece!r}, {wish!r}: there is no such piece or wish; correct the key"
                )
        self._refuse_crowded()

    @property
    def seasons(self) -> tuple[int, ...]:
        return tuple(sorted({wish.season for wish in self.wishes}))

    def _refuse_crowded(self) -> None:
        """Two settled wishes cannot both have the whole of one piece in one season."""
        if not self.one_crop_a_piece:
            return
        season = {wish.key: wish.season for wish in self.wishes}
        taken: dict[tuple[str, int], str] = {}
        for piece, wish in self.fixed:
            other = taken.setdefault((piece, season[wish]), wish)
            if other != wish:
                raise ProblemFault(
                    f"fixed: {other!r} and {wish!r} both have piece {piece!r} in one season; free one"
                )


def _refuse_bad(field_name: str, rows: list[tuple[str, float]]) -> None:
    seen: set[str] = set()
    for key, area_m2 in rows:
        if key in seen:
            raise ProblemFault(f"{field_name}: key {key!r} is there twice; give each its own")
        if not area_m2 > 0:
            raise ProblemFault(f"{field_name}: {key!r} has {area_m2} m²; give an area above 0")
        seen.add(key)


class Share(NamedTuple):
    """Ground of one piece that one wish has in its season. [m²]"""

    piece: str
    wish: str
    area_m2: float


class Trouble(NamedTuple):
    """One thing that costs: its kind, the place, what it costs, and the season or area behind it."""

    kind: str
    wish: str
    piece: str
    cost: float
    figure: float


@dataclass(frozen=True, slots=True)
class Proposal:
    """Who goes where, what it costs and why, and whether it is the least bad there is.

    ``gap`` is how far, as a share, the cost may lie above the best possible; 0 where that is proven.
    """

    shares: tuple[Share, ...]
    troubles: tuple[Trouble, ...]
    gap: float
    is_proven: bool

    @property
    def cost(self) -> float:
        return sum(each.cost for each in self.troubles)

    def missing_m2(self, wish: str) -> float:
        return sum(each.figure for each in self.troubles if each.kind == MISSING and each.wish == wish)


MISSING, BROKEN, BARRED, UNDER, DISLIKED, SCATTERED = (
    "missing",
    "broken",
    "barred",
    "under recommended",
    "disliked",
    "scattered",
)
