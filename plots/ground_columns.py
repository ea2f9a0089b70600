"""Reading what grew, as columns first: outlines only of what can matter. Nothing here writes.

A society of ten thousand plots has a million patches on record. Most of them lie elsewhere, are of another
family or are rested out, and are passed over by their numbers alone.
"""

import json
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from django.db.models import F, Max, Q, TextField
from django.db.models.functions import Cast

from plots.crops import Crop, crops
from plots.crops import crop as crop_of
from plots.mixes import Mixes
from plots.models import OtherUse, Patch, Site, Sowing
from plots.rotation import GroundUse, OutlineFault
from plots.rotation.ground import Checked, outlines_checked
from plots.rotation.relevance import Claims, Crops, Reach, pairs_that_matter


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
    """What of a record can matter at all: where, until when, and how far back of each kind of crop.

    ``reach`` counts from ``first``, the earliest season asked for; ``plans`` is False where what is planned
    and may still come to nothing counts for nothing.
    """

    box: Box | Boxes
    first: int
    latest: int
    reach: Reach
    widest_m: float | None = None
    plans: bool = True

    def sowings(self) -> Q:
        """Sowings of the crops that reach as far."""
        rests = {each.key: self.reach.of(each.key, each.family, is_root=is_root(each)) for each in crops()}
        return Q(season__lte=self.latest) & self._since("crop", rests)

    def other_uses(self) -> Q:
        """Other uses of the families that reach as far, and roots where those have a rule."""
        kinds = self._since("family", self.reach.kinds)
        if self.reach.roots:
            kinds |= Q(is_root=True, last_season__gte=self.first - self.reach.roots)
        return Q(first_season__lte=self.latest) & kinds

    def _since(self, column: str, rests: Mapping[str, int]) -> Q:
        alike: dict[int, list[str]] = defaultdict(list)
        for kind, rest in sorted(rests.items()):
            alike[rest].append(kind)
        found = Q(pk__in=[])
        for rest, kinds in alike.items():
            if rest:
                found |= Q(**{f"{column}__in": kinds, "last_season__gte": self.first - rest})
        return found


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
    """One earlier use with its outline as text, which is read when it is known to matter."""

    key: str
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
    outline: str
    stored_as: tuple[type[Sowing | OtherUse], int]


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
    """Sowings first, then other uses, each in the order of their keys. Two queries, three with a container.

    ``wanted`` None leaves out nothing that lies within the bounds.
    """
    rows = [*_sowings(site, bounds, current_season, mixes), *_others(site, bounds, mixes)]
    return _uses(rows if wanted is None else _mattering(rows, wanted, claims))


def _sowings(site: Site, bounds: Bounds, current_season: int, mixes: Mixes) -> Iterator[_Row]:
    rows = Sowing.objects.filter(
        bounds.box.meets("patch__", widest_m=bounds.widest_m), bounds.sowings(), patch__site=site
    )
    if not bounds.plans:
        rows = rows.exclude(state=Sowing.State.PLANNED, last_season__gte=current_season)
    columns = rows.order_by().values_list(
        "pk", "key", "crop", "season", "last_season", "ended_on", "state", "patch__is_coarse",
        "patch__bed_id", "patch__bed__kind", *(f"patch__{name}" for name in _BOX),
        Cast("patch__outline", TextField()),
    )  # fmt: skip
    # Put in order here: asked for it, PostgreSQL walks all sowings by key rather than those in the box.
    for row in sorted(columns):
        pk, key, crop_key, first, last, ended, state, coarse, bed, kind, *box, outline = row
        crop = crop_of(crop_key)
        # A plan from a season gone by that nobody confirmed as sown is only a possible use.
        unconfirmed = state == Sowing.State.PLANNED and last < current_season
        yield _Row(
            str(key), crop.key, crop.name, crop.family, first, last, coarse or unconfirmed, is_root(crop),
            state == Sowing.State.CLEARED, mixes.vessel(bed, kind, last_season=last, ended_on=ended),
            tuple(box), outline, (Sowing, pk),
        )  # fmt: skip


def _others(site: Site, bounds: Bounds, mixes: Mixes) -> Iterator[_Row]:
    rows = OtherUse.objects.filter(
        bounds.box.meets(), bounds.other_uses(), site=site, withdrawn_at__isnull=True
    ).annotate(outline_text=Cast("outline", TextField()))
    for row in rows.defer("outline").select_related("bed").order_by("pk"):
        yield _Row(
            row.key, "", row.name, row.family, row.first_season, row.last_season, row.is_coarse, row.is_root,
            False, mixes.vessel(row.bed_id, row.bed.kind if row.bed else None, last_season=row.last_season),
            (row.min_x, row.min_y, row.max_x, row.max_y), row.outline_text, (OtherUse, row.pk),
        )  # fmt: skip


class UnreadableUse(ValueError):
    """A stored row whose outline makes no ground."""


def _mattering(rows: Sequence[_Row], wanted: Crops, claims: Claims) -> list[_Row]:
    _, theirs = pairs_that_matter(wanted, _columns(rows), claims)
    return [rows[at] for at in np.unique(theirs)]


def _columns(rows: Sequence[_Row]) -> Crops:
    return Crops(
        boxes=np.array([row.box for row in rows], dtype=float).reshape(-1, 4),
        families=[row.family for row in rows],
        crop_keys=[row.crop_key for row in rows],
        first=np.array([row.first for row in rows], dtype=np.int64),
        last=np.array([row.last for row in rows], dtype=np.int64),
        is_root=np.array([row.is_root for row in rows], dtype=bool),
    )


def _uses(rows: Sequence[_Row]) -> list[GroundUse]:
    outlines = json.loads(f"[{','.join(row.outline for row in rows)}]")
    try:
        checked = outlines_checked([row.key for row in rows], outlines)
    except OutlineFault as fault:
        raise UnreadableUse(f"{_said(rows, fault.key)}: {fault}") from fault
    return [_use(row, outline) for row, outline in zip(rows, checked, strict=True)]


def _use(row: _Row, outline: Checked) -> GroundUse:
    return GroundUse(
        key=row.key,
        outline=outline,
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


def _said(rows: Sequence[_Row], key: str) -> str:
    """The stored row behind a key, as its keeper would look for it."""
    model, pk = next(row.stored_as for row in rows if row.key == key)
    stored: Sowing | OtherUse = model._default_manager.get(pk=pk)
    if isinstance(stored, Sowing):
        return f"plot {stored.patch.plot.number}, sowing {pk} ({stored})"
    return f"plot {stored.plot.number}, {stored}"
