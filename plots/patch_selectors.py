"""The years of a piece of ground: what was on it before, whatever bed or plot it was called then."""

from dataclasses import dataclass

from plots.models import Site, Sowing
from plots.outlines import Corners, polygon
from plots.placing import overlap_m2


@dataclass(frozen=True, slots=True)
class PatchYear:
    """One sowing that had some of the ground, and how much of it."""

    sowing: Sowing
    area_m2: float
    share: float

    @property
    def season(self) -> int:
        return self.sowing.season


def patch_years(site: Site, outline: Corners, *, but: Sowing | None = None) -> list[PatchYear]:
    """Everything on record on this ground, the latest first. One query."""
    shape = polygon(outline)
    min_x, min_y, max_x, max_y = shape.bounds
    rows = Sowing.objects.filter(
        patch__site=site,
        patch__min_x__lte=max_x,
        patch__max_x__gte=min_x,
        patch__min_y__lte=max_y,
        patch__max_y__gte=min_y,
    ).select_related("patch__plot", "patch__bed", "verdict")
    if but is not None:
        rows = rows.exclude(pk=but.pk)
    found = []
    for sowing in rows.order_by("-season", "-last_season", "-pk"):
        area_m2 = overlap_m2(outline, sowing.patch.outline)
        if area_m2:
            found.append(PatchYear(sowing, area_m2, area_m2 / shape.area))
    return found
