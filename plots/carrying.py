"""Ground that moves with all its past: the mix of a container, and a plot entered in the wrong place.

Nothing else ever moves a patch. Here ground and past move as one, so that no verdict changes.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from shapely import Polygon

from plots.bed_checks import bed_faults, beds_lasting
from plots.bed_shapes import moved, turned
from plots.changes import Faults, note, refuse_stale, row_change, row_check, site_held
from plots.ground_services import ground_check
from plots.models import Bed, BedKind, GroundEvent, OtherUse, Patch, Plot, Sighting
from plots.models.outlined import Outlined
from plots.outlines import Corners
from plots.plot_services import plot_refuse_clashes
from plots.shapes import FURTHEST_M
from society.models import Account

LYING: tuple[type[Outlined], ...] = (Patch, GroundEvent, Sighting, OtherUse)
_BOX = ("outline", "min_x", "min_y", "max_x", "max_y", "area_m2")


@dataclass(frozen=True, slots=True)
class Carry:
    """So far east and north, after a turn anticlockwise about the middle of what is carried."""

    east_m: float = 0.0
    north_m: float = 0.0
    turn_deg: float = 0.0

    def __post_init__(self) -> None:
        faults = Faults()
        for name in ("east_m", "north_m"):
            if not abs(getattr(self, name)) <= FURTHEST_M:
                faults.add(name, f"{getattr(self, name):g} m is off the site; give metres, like 0.5")
        if not abs(self.turn_deg) <= 360:
            faults.add("turn_deg", f"{self.turn_deg:g} is no angle; give degrees between -360 and 360")
        faults.refuse()

    def of(self, outline: Corners, *, about: tuple[float, float]) -> Corners:
        found = turned(outline, self.turn_deg, about=about) if self.turn_deg else outline
        return moved(found, east_m=self.east_m, north_m=self.north_m)


def middle_of(outline: Corners) -> tuple[float, float]:
    centre = Polygon(outline).centroid
    return centre.x, centre.y


def container_carry(
    *, bed: Bed, carry: Carry, version: int | None = None, account: Account | None, now: datetime
) -> Bed:
    """Move a container with its mix: what grew and grows in it goes along."""
    with site_held(bed.plot.site):
        fresh = Bed.objects.select_related("plot__site").get(pk=bed.pk)
        refuse_stale(fresh, version)
        faults = Faults()
        if fresh.kind != BedKind.CONTAINER:
            faults.add("bed", f"{fresh.name} is no container; its ground stays where it is")
        if fresh.until is not None:
            faults.add("bed", f"{fresh.name} was closed on {fresh.until}; choose one that is there")
        faults.refuse()
        about, outline = middle_of(fresh.outline), carry.of(fresh.outline, about=middle_of(fresh.outline))
        wanted = Bed(
            pk=fresh.pk, plot=fresh.plot, since=fresh.since, outline=outline, name=fresh.name,
            kind=fresh.kind, height_m=fresh.height_m,
        )  # fmt: skip
        bed_faults(wanted, others=beds_lasting(wanted), faults=faults)
        faults.refuse()
        for model in LYING:
            _carry_rows(model.objects.filter(bed=fresh), carry, about)  # type: ignore[attr-defined]
        return row_change(fresh, {"outline": outline}, action="bed.carried", account=account, now=now)


def plot_carry(
    *, plot: Plot, carry: Carry, version: int | None = None, account: Account | None, now: datetime
) -> Plot:
    """Correct where a plot lies, with its beds, closed ones too, and everything on record there.

    Refused where the ground carries a record under another number: that would stay behind.
    """
    with site_held(plot.site):
        fresh = Plot.objects.select_related("site").get(pk=plot.pk)
        refuse_stale(fresh, version)
        about = middle_of(fresh.outline)
        _refuse_other_records(fresh)
        was = fresh.outline
        fresh.outline = carry.of(was, about=about)
        row_check(fresh)
        plot_refuse_clashes(fresh, with_beds=False)
        fresh.version += 1
        fresh.save(update_fields=["outline", "version"])
        _carry_beds(list(fresh.beds.all()), carry, about)
        for model in LYING:
            _carry_rows(model.objects.filter(plot=fresh), carry, about)  # type: ignore[attr-defined]
        note(
            fresh, "plot.carried", account=account, now=now, fields=["outline"], was={"outline": was},
            version=fresh.version,
        )  # fmt: skip
        ground_check(site=fresh.site, plot=fresh, now=now)
    return fresh


def _refuse_other_records(plot: Plot) -> None:
    shape = Polygon(plot.outline)
    for other in Plot.objects.filter(site=plot.site).exclude(pk=plot.pk):
        if shape.intersection(Polygon(other.outline)).area > 1:
            raise ValidationError(
                {
                    "plot": f"the ground of plot {plot.number} was plot {other.number} at another time, and "
                    "what is on record under that number would stay behind; correct the corners instead"
                }
            )


def _carry_beds(beds: Sequence[Bed], carry: Carry, about: tuple[float, float]) -> None:
    for bed in beds:
        bed.outline = carry.of(bed.outline, about=about)
        bed.version += 1
    Bed.objects.bulk_update(beds, ["outline", "version"])


def _carry_rows(rows: Sequence[Outlined], carry: Carry, about: tuple[float, float]) -> None:
    found = list(rows)
    for row in found:
        row.outline = carry.of(row.outline, about=about)
        row.measure()
    if found:
        type(found[0])._default_manager.bulk_update(found, _BOX)
