"""Which sowings lie on ground that carried their own family the season before. Nothing here writes."""

from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
import shapely
from django.db.models import QuerySet

from plots.crops import crop as crop_of
from plots.models import Patch, Site, Sowing
from plots.outlines import Corners, polygon

# Shared edges of neighbouring beds are no shared ground.
SAME_GROUND_M2 = 0.05
AT_ONCE = 5000
A_FEW = 50


class _Piece(NamedTuple):
    """A crop on its ground: the season it is for or last stood in, and the box round its patch."""

    pk: int
    patch: int
    crop: str
    season: int
    min_x: float
    min_y: float
    max_x: float
    max_y: float


_PIECE = ("pk", "patch_id", "crop")
_BOX = ("patch__min_x", "patch__min_y", "patch__max_x", "patch__max_y")


def family_last_season(sowings: Sequence[Sowing]) -> set[int]:
    """Those of a few sowings, saved or not, whose ground carried their family: flies may hatch in it."""
    if not sowings:
        return set()
    shapes = [polygon(sowing.patch.outline) for sowing in sowings]
    now = [
        _Piece(place, place, sowing.crop, sowing.season, *shape.bounds)
        for place, (sowing, shape) in enumerate(zip(sowings, shapes, strict=True))
    ]
    earlier = _earlier(sowings[0].patch.site, now)
    found = _on_the_same(now, earlier, {place: sowing.patch.outline for place, sowing in enumerate(sowings)})
    return {sowings[place].pk for place in found}


def tired_sowings(site: Site, wanted: Iterable[int]) -> set[int]:
    """The same of a site's stored sowings, however many. Queries and time do not depend on who lies where."""
    keys = list(wanted)
    rows: QuerySet[Sowing] = Sowing.objects.filter(patch__site=site)
    rows = rows.filter(pk__in=keys) if len(keys) <= AT_ONCE else rows
    chosen = set(keys)
    now = [
        piece
        for piece in (
            _Piece(*row) for row in rows.order_by().values_list(*_PIECE, "season", *_BOX).iterator(AT_ONCE)
        )
        if piece.pk in chosen
    ]
    return _on_the_same(now, _earlier(site, now), None)


def _earlier(site: Site, now: Sequence[_Piece]) -> list[_Piece]:
    """What stood in the season before these; around a few of them only what their box meets."""
    if not now:
        return []
    rows = Sowing.objects.filter(
        patch__site=site, last_season__in={piece.season - 1 for piece in now}
    ).exclude(state=Sowing.State.PLANNED)
    if len(now) <= A_FEW:  # round a whole site a box sorts nothing out, and leads the database astray
        rows = rows.filter(
            patch__min_x__lte=max(piece.max_x for piece in now),
            patch__max_x__gte=min(piece.min_x for piece in now),
            patch__min_y__lte=max(piece.max_y for piece in now),
            patch__max_y__gte=min(piece.min_y for piece in now),
        )
    found = rows.order_by().values_list(*_PIECE, "last_season", *_BOX)
    return [_Piece(*row) for row in found.iterator(AT_ONCE)]


def _on_the_same(
    now: Sequence[_Piece], earlier: Sequence[_Piece], outlines: Mapping[int, Corners] | None
) -> set[int]:
    """Boxes first, all at once; only ground of one family whose boxes meet is laid over each other."""
    if not now or not earlier:
        return set()
    families: dict[str, int] = {}
    boxes, seasons, kinds = _columns(now, families)
    old_boxes, old_seasons, old_kinds = _columns(earlier, families)
    mine, theirs = shapely.STRtree(shapely.box(*old_boxes)).query(shapely.box(*boxes))
    related = (kinds[mine] == old_kinds[theirs]) & (old_seasons[theirs] == seasons[mine] - 1)
    mine, theirs = mine[related], theirs[related]
    old = _shapes(_outlines(earlier[at].patch for at in set(theirs.tolist())))
    new = _shapes(_outlines(now[at].patch for at in set(mine.tolist())) if outlines is None else outlines)
    return {
        now[here].pk
        for here, there in zip(mine.tolist(), theirs.tolist(), strict=True)
        if new[now[here].patch].intersection(old[earlier[there].patch]).area > SAME_GROUND_M2
    }


def _columns(pieces: Sequence[_Piece], families: dict[str, int]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The boxes (4, n), the seasons and the families, each family as a number of its own."""
    boxes = np.array([piece[4:8] for piece in pieces], dtype=float).T
    seasons = np.array([piece.season for piece in pieces])
    kinds = [families.setdefault(crop_of(piece.crop).family, len(families)) for piece in pieces]
    return boxes, seasons, np.array(kinds)


def _outlines(patches: Iterable[int]) -> dict[int, Corners]:
    keys = sorted(set(patches))
    found: dict[int, Corners] = {}
    for at in range(0, len(keys), AT_ONCE):
        found |= dict(Patch.objects.filter(pk__in=keys[at : at + AT_ONCE]).values_list("pk", "outline"))
    return found


def _shapes(outlines: Mapping[int, Corners]) -> dict[int, shapely.Polygon]:
    return {key: polygon(outline) for key, outline in outlines.items()}
