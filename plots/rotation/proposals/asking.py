"""From ground and its past to a problem: what the checker bars for which wish, and what it would warn of."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from shapely.geometry import Polygon

from plots.rotation.customs import Customs, adapted
from plots.rotation.ground import GroundUse, Outline, Wanted, outline_polygon
from plots.rotation.judging_many import judge_many
from plots.rotation.overlaps import Pieces
from plots.rotation.problems import Problem as GroundProblem
from plots.rotation.problems import Sighting, problems
from plots.rotation.proposals.types import Bar, Piece, Place, Problem, Rest, Wish
from plots.rotation.rest_rules import RestRule, rest_rules
from plots.rotation.verdicts import Level

# A dressing bars a piece once it covers this share of it: a corner of manure spoils no bed. Our construction.
COVERS_SHARE = 0.05


@dataclass(frozen=True)
class Ground:
    """A piece with its outline in the site's frame. [m]

    ``vessel`` names the container whose mix it is, empty for the ground itself. ``record_since`` is its own,
    where it has one.
    """

    key: str
    name: str
    outline: Outline = field(repr=False)
    vessel: str = ""
    record_since: int | None = None
    polygon: Polygon = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "polygon", outline_polygon(self.key, self.outline))


@dataclass(frozen=True, slots=True)
class Asked:
    """So much of one crop in one season. ``shuns`` are the dressings it must not follow (manure, lime)."""

    key: str
    season: int
    crop_key: str
    name: str
    family: str
    area_m2: float
    is_root: bool = False
    shuns: frozenset[str] = frozenset()
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Standing:
    """What is on a piece already, or planned there; one crop has one ``stand`` through its seasons."""

    piece: str
    asked: Asked
    stand: str


@dataclass(frozen=True)
class Dressing:
    """Manure or lime on a piece of ground, felt through the season ``until``."""

    kind: str
    outline: Outline = field(repr=False)
    season: int
    until: int
    polygon: Polygon = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "polygon", outline_polygon(self.kind, self.outline))


def problem_of(
    ground: Sequence[Ground],
    asked: Sequence[Asked],
    past: Sequence[GroundUse],
    *,
    record_since: int | None,
    sightings: Iterable[Sighting] = (),
    dressings: Iterable[Dressing] = (),
    standing: Sequence[Standing] = (),
    closed: Iterable[Bar] = (),
    customs: Customs | None = None,
    fixed: Sequence[Place] = (),
    likes: Mapping[Place, float] | None = None,
    one_crop_a_piece: bool = False,
) -> Problem:
    """Ask the checker of every piece and every wish, and lay the answers out as a problem.

    Parameters
    ----------
    ground : sequence of Ground
        Beds or strips to give out.
    asked : sequence of Asked
        Wishes of the coming seasons.
    past, record_since, sightings, customs
        As ``judge`` takes them.
    dressings : iterable of Dressing
        Manure and lime that some crops shun.
    standing : sequence of Standing
        What is there already in the coming seasons; it is settled, and left out of ``past``.
    closed : iterable of Bar
        Places that are out of the question for reasons of their own.
    fixed, likes, one_crop_a_piece
        As ``Problem`` takes them.

    Returns
    -------
    Problem
        Ground that the checker would call broken is barred until the season that frees it; ground that it
        would call short or possible is marked as under the recommended rest.
    """
    laid, seen, own = list(dressings), list(sightings), customs or Customs()
    out = {Place(bar.piece, bar.wish): bar for bar in closed}
    pairs = [(piece, wish) for piece in ground for wish in asked]
    verdicts = judge_many(
        [_wanted(piece, wish) for piece, wish in pairs],
        past,
        record_since=[
            record_since if piece.record_since is None else piece.record_since for piece, _ in pairs
        ],
        sightings=seen,
        customs=own,
    )
    bars, under = [], set()
    for (piece, wish), verdict in zip(pairs, verdicts, strict=True):
        place = Place(piece.key, wish.key)
        if place in out:
            bars.append(out[place])
        elif verdict.level is Level.BROKEN:
            bars.append(Bar(*place, "rest", verdict.free_from_season))
        elif (dressing := _shunned(piece, wish, laid)) is not None:
            bars.append(Bar(*place, dressing.kind, dressing.until + 1))
        elif verdict.level in {Level.SHORT, Level.POSSIBLE}:
            under.add(place)
    sick = list(_sick(ground, seen))
    kept = [replace(_wish(each.asked, own, sick), stand=each.stand) for each in standing]
    return Problem(
        pieces=tuple(Piece(each.key, each.name, each.polygon.area) for each in ground),
        wishes=(*(_wish(each, own, sick) for each in asked), *kept),
        bars=tuple(bars),
        under_recommended=frozenset(under),
        fixed=(*fixed, *(Place(each.piece, each.asked.key) for each in standing)),
        likes=dict(likes or {}),
        one_crop_a_piece=one_crop_a_piece,
    )


def _wanted(piece: Ground, wish: Asked) -> Wanted:
    return Wanted(
        wish.key,
        piece.polygon,
        wish.crop_key,
        wish.name,
        wish.family,
        wish.season,
        wish.is_root,
        piece.vessel,
    )


def _shunned(piece: Ground, wish: Asked, dressings: Sequence[Dressing]) -> Dressing | None:
    """Return the dressing that keeps a wish off a piece in its season, the longest felt first."""
    felt = [
        each
        for each in dressings
        if each.kind in wish.shuns
        and each.season <= wish.season <= each.until
        and each.polygon.intersection(piece.polygon).area >= COVERS_SHARE * piece.polygon.area
    ]
    return max(felt, key=lambda each: each.until, default=None)


def _sick(ground: Sequence[Ground], sightings: Sequence[Sighting]) -> Iterator[tuple[GroundProblem, Rest]]:
    """Problems with the pieces on which they were seen: their hosts keep off each other's ground there.

    Of a problem that nobody confirmed no rest is broken; it is only recommended.
    """
    kinds = sorted({(each.problem, each.is_sure) for each in sightings})
    for key, is_sure in kinds:
        where = [each for each in sightings if (each.problem, each.is_sure) == (key, is_sure)]
        pieces = tuple(piece.key for piece in ground if _counts_on(piece, where))
        rest = problems()[key].rest
        if pieces:
            yield (
                problems()[key],
                Rest(key, rest.minimum_seasons, rest.recommended_seasons, pieces)
                if is_sure
                else Rest(f"{key}, not sure", 0, rest.recommended_seasons, pieces),
            )


def _counts_on(piece: Ground, sightings: Sequence[Sighting]) -> bool:
    seen = [each.polygon for each in sightings if each.vessel == piece.vessel]
    return Pieces(piece.polygon).counted(seen).area_m2 > 0


def _wish(asked: Asked, customs: Customs, sick: Sequence[tuple[GroundProblem, Rest]]) -> Wish:
    return Wish(
        key=asked.key,
        season=asked.season,
        crop=asked.crop_key,
        name=asked.name,
        area_m2=asked.area_m2,
        rests=(
            *_rests(asked, customs),
            *(rest for problem, rest in sick if problem.lives_on(asked.crop_key, asked.family)),
        ),
        weight=asked.weight,
    )


def _rests(asked: Asked, customs: Customs) -> Iterator[Rest]:
    family = rest_rules().get(asked.family)
    rules: list[RestRule] = []
    if family is not None:
        rules.append(adapted(family, customs.rests.get(asked.family)))
    if asked.is_root and customs.root_rule is not None:
        rules.append(customs.root_rule)
    for rule in rules:
        yield Rest(rule.family, rule.minimum_seasons, rule.recommended_seasons)
