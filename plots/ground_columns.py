"""Reading what grew, as columns first: outlines only of what can matter. Nothing here writes.

A society of ten thousand plots has a million patches on record. Most of them lie elsewhere, are of another
family or are rested out, and are passed over by their numbers alone.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import F, Max, Model, Q

from plots.crops import Crop, UnknownCrop, crops
from plots.crops import crop as crop_of
from plots.mixes import Mixes
from plots.models import OtherUse, Patch, Site, Sowing
from plots.rotation import GroundUse
from plots.rotation.relevance import Claims, Crops, pairs_that_matter

AT_ONCE = 5000


@dataclass(frozen=True, slots=True)
class Box:
    """The smallest upright rectangle round some ground. [m]"""

    min_x: float
    min_y: float
    max_x: float
    max_y: float

    def meets(self, link: str = "", *, widest_m: float | None = None) -> Q:
        """Rows whose boxes meet it; ``widest_m``, where known, lets the index find them in one band."""
        band = {} if widest_m is None else {f"{link}min_x__gte": self.min_x - widest_m}
        return Q(
            **{
                f"{link}min_x__lte": self.max_x,
                f"{link}max_x__gte": self.min_x,
                f"{link}min_y__lte": self.max_y,
                f"{link}max_y__gte": self.min_y,
            },
            **band,
        )


@dataclass(frozen=True, slots=True)
class Boxes:
    """Several such rectangles, for ground that lies apart."""

    each: tuple[Box, ...]

    def meets(self, link: str = "", *, widest_m: float | None = None) -> Q:
        """Rows whose boxes meet any of them."""
        found = Q()
        for box in self.each:
            found |= box.meets(link, widest_m=widest_m)
        return found


@dataclass(frozen=True, slots=True)
class Bounds:
    """What of a record can matter at all: where, until when, since when, and of what kind.

    ``families`` and ``crop_keys`` are None where any kind may matter; ``plans`` is False where what is
    planned and may still come to nothing counts for nothing.
    """

    box: Box | Boxes
    latest: int
    earliest: int
    families: frozenset[str] | None
    crop_keys: frozenset[str]
    roots: bool
    widest_m: float | None = None
    plans: bool = True

    def crops(self) -> list[str] | None:
        if self.families is None:
            return None
        return [
            each.key
            for each in crops()
            if each.family in self.families or each.key in self.crop_keys or (self.roots and is_root(each))
        ]


def is_root(crop: Crop) -> bool:
    fact = crop.get("is_root")
    return bool(fact is not None and fact.value is True)


def box_round(rows: Iterable[Any]) -> Box:
    """Round rows that have boxes of their own."""
    boxes = [(row.min_x, row.min_y, row.max_x, row.max_y) for row in rows]
    lows, highs = np.min(boxes, axis=0), np.max(boxes, axis=0)
    return Box(float(lows[0]), float(lows[1]), float(highs[2]), float(highs[3]))


def widest_patch_m(site: Site) -> float:
    """How far east any patch of a site reaches from where it begins."""
    found = Patch.objects.filter(site=site).aggregate(widest=Max(F("max_x") - F("min_x")))["widest"]
    return float(found or 0.0)


@dataclass(frozen=True, slots=True)
class _Row:
    """One earlier use without its outline, which is fetched when it is known to matter."""

    key: str
    outline_of: int
    crop_key: str
    name: str
    family: str
    first: int
    last: int
    coarse: bool
    is_root: bool
    failed: bool
    vessel: str
    box: tuple[float, float, float, float]
    said: str


_BOX = ("min_x", "min_y", "max_x", "max_y")


def uses_that_matter(
    site: Site,
    bounds: Bounds,
    *,
    wanted: Crops | None,
    claims: Claims,
    current_season: int,
    mixes: Mixes,
) -> list[GroundUse]:
    """Sowings first, then other uses, each in the order of their keys. Four queries, five with a container.

    ``wanted`` None leaves out nothing that lies within the bounds.
    """
    sown = list(_sowings(site, bounds, current_season, mixes))
    other = list(_others(site, bounds, mixes))
    rows = [*sown, *other]
    kept = range(len(rows)) if wanted is None else _mattering(rows, wanted, claims)
    of_sowings = _outlines(Patch, [rows[at].outline_of for at in kept if at < len(sown)])
    of_others = _outlines(OtherUse, [rows[at].outline_of for at in kept if at >= len(sown)])
    return [_use(rows[at], of_sowings if at < len(sown) else of_others) for at in kept]


def _sowings(site: Site, bounds: Bounds, current_season: int, mixes: Mixes) -> Iterator[_Row]:
    rows = Sowing.objects.filter(
        bounds.box.meets("patch__", widest_m=bounds.widest_m),
        patch__site=site,
        season__lte=bounds.latest,
        last_season__gte=bounds.earliest,
    )
    keys = bounds.crops()
    rows = rows if keys is None else rows.filter(crop__in=keys)
    if not bounds.plans:
        rows = rows.exclude(state=Sowing.State.PLANNED, last_season__gte=current_season)
    columns = rows.order_by("pk").values_list(
        "key", "patch_id", "crop", "season", "last_season", "ended_on", "state", "patch__is_coarse",
        "patch__bed_id", "patch__bed__kind", *(f"patch__{name}" for name in _BOX),
        "patch__plot__number", "pk",
    )  # fmt: skip
    for (
        key,
        patch,
        crop_key,
        first,
        last,
        ended,
        state,
        coarse,
        bed,
        kind,
        *box,
        plot,
        pk,
    ) in columns.iterator(AT_ONCE):
        said = f"plot {plot}, sowing {pk} ({crop_key} {first})"
        try:
            crop = crop_of(crop_key)
        except UnknownCrop as fault:
            raise UnreadableUse(f"{said}: {fault}") from fault
        # A plan from a season gone by that nobody confirmed as sown is only a possible use.
        unconfirmed = state == Sowing.State.PLANNED and last < current_season
        yield _Row(
            str(key), patch, crop.key, crop.name, crop.family, first, last, coarse or unconfirmed,
            is_root(crop), state == Sowing.State.CLEARED,
            mixes.vessel(bed, kind, last_season=last, ended_on=ended), tuple(box), said,
        )  # fmt: skip


def _others(site: Site, bounds: Bounds, mixes: Mixes) -> Iterator[_Row]:
    rows = OtherUse.objects.filter(
        bounds.box.meets(),
        site=site,
        withdrawn_at__isnull=True,
        first_season__lte=bounds.latest,
        last_season__gte=bounds.earliest,
    )
    if bounds.families is not None:
        asked = Q(family__in=bounds.families)
        rows = rows.filter(asked | Q(is_root=True) if bounds.roots else asked)
    for row in rows.select_related("bed", "plot").order_by("pk"):
        yield _Row(
            row.key, row.pk, "", row.name, row.family, row.first_season, row.last_season, row.is_coarse,
            row.is_root, False,
            mixes.vessel(row.bed_id, row.bed.kind if row.bed else None, last_season=row.last_season),
            (row.min_x, row.min_y, row.max_x, row.max_y), f"plot {row.plot.number}, {row}",
        )  # fmt: skip


class UnreadableUse(ValueError):
    """A stored row whose crop is not on file or whose outline makes no ground."""


def _mattering(rows: Sequence[_Row], wanted: Crops, claims: Claims) -> list[int]:
    _, theirs = pairs_that_matter(wanted, _columns(rows), claims)
    return sorted(set(theirs.tolist()))


def _columns(rows: Sequence[_Row]) -> Crops:
    return Crops(
        boxes=np.array([row.box for row in rows], dtype=float).reshape(-1, 4),
        families=[row.family for row in rows],
        crop_keys=[row.crop_key for row in rows],
        first=np.array([row.first for row in rows], dtype=np.int64),
        last=np.array([row.last for row in rows], dtype=np.int64),
        is_root=np.array([row.is_root for row in rows], dtype=bool),
    )


def _outlines(model: type[Model], keys: Iterable[int]) -> Mapping[int, Any]:
    wanted = sorted(set(keys))
    found: dict[int, Any] = {}
    for at in range(0, len(wanted), AT_ONCE):
        rows = model._default_manager.filter(pk__in=wanted[at : at + AT_ONCE])
        found.update(rows.values_list("pk", "outline"))
    return found


def _use(row: _Row, outlines: Mapping[int, Any]) -> GroundUse:
    try:
        return GroundUse(
            key=row.key,
            outline=outlines[row.outline_of],
            crop_key=row.crop_key,
            crop_name=row.name,
            family=row.family,
            first_season=row.first,
            last_season=row.last,
            coarse=row.coarse,
            is_root=row.is_root,
            failed=row.failed,
            vessel=row.vessel,
        )
    except ValueError as fault:
        raise UnreadableUse(f"{row.said}: {fault}") from fault
