"""Correcting beds and closing them. Patches are never moved: the past hangs on the ground."""

from collections.abc import Collection
from datetime import date, datetime
from typing import Any, TypedDict, Unpack

from plots.bed_checks import (
    bed_faults,
    beds_lasting,
    in_the_way_words,
    standing_asked,
    standing_on,
    unfinished_after,
)
from plots.changes import Faults, local_day, refuse_stale, row_change, row_check, site_held
from plots.ground_services import ground_check
from plots.models import Bed, Sowing
from plots.shapes import Shape, outline_of
from plots.verdict_selectors import OPEN_STATES
from society.models import Account


class BedChanges(TypedDict, total=False):
    name: str
    shape: Shape
    kind: str
    height_m: float
    soil: str


# A change of these is asked about while something stands or is planned there.
ASKED_ABOUT = ("outline", "kind")


def bed_change(
    *,
    bed: Bed,
    version: int | None,
    standing_seen: Collection[int] = (),
    account: Account | None,
    now: datetime,
    **changes: Unpack[BedChanges],
) -> Bed:
    """Rename a bed, or correct what was measured wrong. What grows stays where it grows.

    Raises StandsThere where the outline or the kind changes under something that ``standing_seen`` does not
    name.
    """
    with site_held(bed.plot.site):
        fresh = Bed.objects.select_related("plot__site").get(pk=bed.pk)
        refuse_stale(fresh, version)
        faults = Faults()
        if fresh.until is not None:
            faults.add("until", f"{fresh.name} was closed on {fresh.until}; lay out a new bed instead")
        faults.refuse()
        fields: dict[str, Any] = dict(changes)
        if "shape" in changes:
            fields["outline"] = outline_of(fields.pop("shape"))
        if "name" in changes:
            fields["name"] = changes["name"].strip()
        wanted = Bed(pk=fresh.pk, plot=fresh.plot, since=fresh.since)
        for name in ("name", "outline", "kind", "height_m", "soil"):
            setattr(wanted, name, fields.get(name, getattr(fresh, name)))
        row_check(wanted)
        _refuse_clashes(wanted)
        if any(getattr(wanted, name) != getattr(fresh, name) for name in ASKED_ABOUT):
            ground = [fresh.outline, wanted.outline]
            standing_asked(standing_on(ground, site_id=fresh.plot.site_id), standing_seen)
        was = fresh.kind
        changed = row_change(fresh, fields, action="bed.changed", account=account, now=now)
        if changed.kind != was:  # the mix of a container and the ground under it have no past in common
            ground_check(site=fresh.plot.site, plot=fresh.plot, now=now)
        return changed


def bed_close(
    *, bed: Bed, on: date, version: int | None = None, account: Account | None, now: datetime
) -> Bed:
    """Close a bed on a day; refused while something stands or is planned in it."""
    with site_held(bed.plot.site):
        fresh = Bed.objects.select_related("plot__site").get(pk=bed.pk)
        refuse_stale(fresh, version)
        faults = Faults()
        today = local_day(fresh.plot.site, now)
        if fresh.until is not None:
            faults.add("on", f"{fresh.name} was closed on {fresh.until} already")
        elif not fresh.since <= on <= today:
            faults.add("on", f"give a day from {fresh.since}, when it was laid out, to today, {today}")
        standing = Sowing.objects.filter(patch__bed=fresh, state__in=OPEN_STATES)
        for sowing in [*standing, *unfinished_after(fresh, on)]:
            faults.add("bed", in_the_way_words(sowing))
        faults.refuse()
        return row_change(fresh, {"until": on}, action="bed.closed", account=account, now=now)


def _refuse_clashes(bed: Bed) -> None:
    faults = Faults()
    bed_faults(bed, others=beds_lasting(bed), faults=faults)
    faults.refuse()
