"""Laying out beds, changing them, closing them. Patches are never moved: the past hangs on the ground."""

from datetime import date, datetime
from typing import Any, TypedDict, Unpack

from django.db.models import Q

from plots.changes import Faults, local_day, note, refuse_stale, row_change, row_check, site_held
from plots.models import Bed, BedKind, Plot, Sowing
from plots.placing import overhang_words, overhangs, overlap_m2
from plots.plot_services import plot_refuse_given_up
from plots.shapes import Shape, outline_of
from society.models import Account


class BedChanges(TypedDict, total=False):
    name: str
    shape: Shape
    kind: str
    height_m: float
    soil: str


def bed_create(
    *,
    plot: Plot,
    name: str,
    shape: Shape,
    since: date,
    kind: str = BedKind.OPEN,
    height_m: float = 0.0,
    soil: str = "",
    account: Account | None,
    now: datetime,
) -> Bed:
    """Lay out a bed inside its plot, clear of every bed that lasts beyond the day it begins."""
    with site_held(plot.site):
        plot = Plot.objects.select_related("site").get(pk=plot.pk)
        plot_refuse_given_up(plot, since)
        bed = Bed(
            plot=plot,
            name=name.strip(),
            outline=outline_of(shape),
            since=since,
            kind=kind,
            height_m=height_m,
            soil=soil,
        )
        row_check(bed)
        _refuse_clashes(bed)
        bed.save()
        note(bed, "bed.created", account=account, now=now, plot=plot.pk, since=since)
    return bed


def bed_change(
    *, bed: Bed, version: int | None, account: Account | None, now: datetime, **changes: Unpack[BedChanges]
) -> Bed:
    """Rename or reshape a bed. What grows stays where it grows, even where the bed no longer reaches."""
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
        return row_change(fresh, fields, action="bed.changed", account=account, now=now)


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
        for sowing in _unfinished(fresh, on):
            faults.add("bed", _in_the_way(sowing))
        faults.refuse()
        return row_change(fresh, {"until": on}, action="bed.closed", account=account, now=now)


def _unfinished(bed: Bed, on: date) -> list[Sowing]:
    open_states = Q(state__in=[Sowing.State.PLANNED, Sowing.State.SOWN])
    return list(Sowing.objects.filter(open_states | Q(ended_on__gt=on), patch__bed=bed))


def _in_the_way(sowing: Sowing) -> str:
    if sowing.state == Sowing.State.PLANNED:
        return f"{sowing.crop_name} is planned in it for {sowing.season}; withdraw the plan or move it first"
    if sowing.ended_on:
        return f"{sowing.crop_name} stood in it until {sowing.ended_on}; give that day or a later one"
    return f"{sowing.crop_name} stands in it; lift or clear it first"


def _refuse_clashes(bed: Bed) -> None:
    faults = Faults()
    if bed.kind == BedKind.CONTAINER and not bed.height_m > 0:
        faults.add("height_m", "a container stands above the ground; give its height in metres, like 0.6")
    out = overhangs(bed.plot.outline, bed.outline)
    if out:
        faults.add(
            "outline",
            f"it would stick out {overhang_words(out)} of plot {bed.plot.number}; move it or make it smaller",
        )
    lasting = Q(until__isnull=True) | Q(until__gt=bed.since)
    for other in Bed.objects.filter(lasting, plot=bed.plot).exclude(pk=bed.pk):
        if other.until is None and other.name == bed.name:
            faults.add("name", f"there is a bed called {bed.name} on this plot already; give another name")
        shared_m2 = overlap_m2(bed.outline, other.outline)
        if shared_m2:
            faults.add(
                "outline",
                f"{shared_m2:.2f} m² of it lie over {other.name}; move it, or change {other.name} first",
            )
    faults.refuse()
