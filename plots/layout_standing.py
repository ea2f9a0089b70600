"""What is on the beds already in the coming seasons, or planned there: it stays where it is."""

from collections import defaultdict
from collections.abc import Sequence

from shapely import unary_union
from shapely.geometry import Polygon

from plots.crops import crop as crop_of
from plots.ground_columns import is_root
from plots.layout_pieces import LayoutPiece
from plots.models import Sowing
from plots.placing import overlap_m2
from plots.rotation.proposals import Asked, Standing

# What overlaps a piece by less is an edge drawn askew. [m²]
LEAST_M2 = 0.02
# So that no wish is ever bought with ground that something else has.
KEPT_WEIGHT = 100.0


def standing_on(
    pieces: Sequence[LayoutPiece], rows: Sequence[Sowing], *, first: int, last: int
) -> list[Standing]:
    """One entry for every piece and season in which a sowing has some of the piece.

    Crops that follow one another on the same ground in one season share it: together they take no more than
    they cover.
    """
    found: dict[tuple[str, int], list[tuple[Sowing, float]]] = defaultdict(list)
    covers: dict[tuple[str, int], float] = {}
    for piece in pieces:
        shape = Polygon(piece.outline)
        here = [(row, overlap_m2(piece.outline, row.patch.outline)) for row in rows]
        here = [(row, area_m2) for row, area_m2 in here if area_m2 >= LEAST_M2]
        for season in range(first, last + 1):
            then = [(row, area_m2) for row, area_m2 in here if season in stays(row, last)]
            if then:
                ground = unary_union([Polygon(row.patch.outline).intersection(shape) for row, _ in then])
                found[piece.key, season], covers[piece.key, season] = then, ground.area
    return [
        _standing(piece, season, row, area_m2 * min(1.0, covers[piece, season] / sum(m2 for _, m2 in then)))
        for (piece, season), then in found.items()
        for row, area_m2 in then
    ]


def stays(row: Sowing, last: int) -> range:
    """The seasons in which a sowing has its ground; one that should be over and stands is a perennial."""
    stands_on = row.state == Sowing.State.SOWN and crop_of(row.crop).is_perennial
    return range(row.season, (last if stands_on else row.last_season) + 1)


def _standing(piece: str, season: int, row: Sowing, area_m2: float) -> Standing:
    crop = crop_of(row.crop)
    asked = Asked(
        key=f"kept:{row.pk}:{piece}:{season}",
        season=season,
        crop_key=crop.key,
        name=crop.name_in_text,
        family=crop.family,
        area_m2=round(area_m2, 6),
        is_root=is_root(crop),
        weight=KEPT_WEIGHT,
    )
    return Standing(piece, asked, f"sowing {row.pk}")
