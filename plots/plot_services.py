"""Laying out plots, correcting them, and giving them up."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db.models import Q

from plots.changes import Faults, local_day, note, refuse_stale, row_change, row_check, site_held
from plots.models import Bed, Plot, Site, Sowing, Tenancy
from plots.outlines import Corners, polygon
from plots.placing import overhang_words, overhangs
from plots.shapes import Shape, outline_of
from society.models import Account

# Plots are measured from hedge to hedge: what two of them share below this is no dispute.
SHARED_M2 = 0.05


class PlotChanges(TypedDict, total=False):
    number: str
    shape: Shape
    record_since: int | None
    laid_out_on: date


def plot_create(
    *,
    site: Site,
    number: str,
    shape: Shape,
    laid_out_on: date,
    record_since: int | None = None,
    account: Account | None,
    now: datetime,
) -> Plot:
    """Lay out a plot. Its area comes from its outline."""
    with site_held(site):
        plot = plot_drafted(
            site=site, number=number, shape=shape, laid_out_on=laid_out_on, record_since=record_since
        )
        plot.save()
        note(plot, "plot.created", account=account, now=now, site=site.pk, area_m2=plot.area_m2)
    return plot


def plot_drafted(
    *, site: Site, number: str, shape: Shape, laid_out_on: date, record_since: int | None = None
) -> Plot:
    """A plot as it would be laid out, not saved; ValidationError says by field why it cannot be."""
    outline = outline_of(shape)
    plot = Plot(
        site=site,
        number=number.strip(),
        outline=outline,
        area_m2=area_of(outline),
        laid_out_on=laid_out_on,
        record_since=record_since,
    )
    row_check(plot)
    plot_refuse_clashes(plot)
    return plot


def plot_update(
    *, plot: Plot, version: int | None, account: Account | None, now: datetime, **changes: Unpack[PlotChanges]
) -> Plot:
    """Correct a plot's number, outline, or the season since which its record is complete."""
    with site_held(plot.site):
        fresh = Plot.objects.select_related("site").get(pk=plot.pk)
        refuse_stale(fresh, version)
        fields: dict[str, Any] = dict(changes)
        if "shape" in changes:
            outline = outline_of(fields.pop("shape"))
            fields |= {"outline": outline, "area_m2": area_of(outline)}
        if "number" in changes:
            fields["number"] = changes["number"].strip()
        wanted = Plot(pk=fresh.pk, site=fresh.site, given_up_on=fresh.given_up_on)
        for name in ("number", "outline", "area_m2", "laid_out_on", "record_since"):
            setattr(wanted, name, fields.get(name, getattr(fresh, name)))
        row_check(wanted)
        plot_refuse_clashes(wanted)
        return row_change(fresh, fields, action="plot.changed", account=account, now=now)


def plot_give_up(
    *, plot: Plot, on: date, version: int | None = None, account: Account | None, now: datetime
) -> Plot:
    """Give the land of a plot up. Its beds close that day; its ground record stays."""
    with site_held(plot.site):
        fresh = Plot.objects.select_related("site").get(pk=plot.pk)
        refuse_stale(fresh, version)
        _refuse_giving_up(fresh, on, today=local_day(fresh.site, now))
        beds = fresh.beds.filter(until__isnull=True)
        closed = list(beds.values_list("pk", flat=True))
        beds.update(until=on)
        return row_change(
            fresh,
            {"given_up_on": on},
            action="plot.given_up",
            account=account,
            now=now,
            values={"beds": closed},
        )


def area_of(outline: Corners) -> Decimal:
    return Decimal(str(round(polygon(outline).area, 2)))


def plot_refuse_clashes(plot: Plot, *, with_beds: bool = True, instead_of: Sequence[Plot] = ()) -> None:
    """Raise what stands against a plot lying there under that number; it need not be saved.

    ``instead_of`` are plots whose land it takes over; a number is given once a site for good, so that the
    record never means two pieces of land by one.
    """
    faults = Faults()
    others = list(Plot.objects.filter(site=plot.site).exclude(pk=plot.pk))
    ending = {other.pk for other in instead_of}
    for other in others:
        if other.number == plot.number:
            since = (
                f" until {other.given_up_on}, and its number stays with its record"
                if other.given_up_on
                else ""
            )
            verb = "was" if other.given_up_on else "is"
            already = "" if other.given_up_on else " already"
            faults.add(
                "number",
                f"there {verb} a plot {plot.number} on this site{already}{since}; give another number",
            )
    shape = polygon(plot.outline)
    for other in others:
        if other.pk in ending:
            continue
        shared_m2 = shape.intersection(polygon(other.outline)).area if _at_once(plot, other) else 0.0
        if shared_m2 > SHARED_M2:
            faults.add(
                "outline",
                f"{shared_m2:.2f} m² of it belong to plot {other.number}; correct the corners of one of them",
            )
    for bed in Bed.objects.filter(plot=plot.pk, until__isnull=True) if plot.pk and with_beds else ():
        out = overhangs(plot.outline, bed.outline)
        if out:
            faults.add(
                "outline",
                f"{bed.name} would stick out {overhang_words(out)} of the plot; change the bed first",
            )
    faults.refuse()


def _at_once(plot: Plot, other: Plot) -> bool:
    """Whether two plots are, or were, laid out at one time; land may be divided anew."""
    return (plot.given_up_on is None or plot.given_up_on > other.laid_out_on) and (
        other.given_up_on is None or other.given_up_on > plot.laid_out_on
    )


def _refuse_giving_up(plot: Plot, on: date, *, today: date) -> None:
    faults = Faults()
    if plot.given_up_on is not None:
        faults.add("on", f"plot {plot.number} was given up on {plot.given_up_on} already")
    if on < plot.laid_out_on or on > today:
        faults.add("on", f"give a day from {plot.laid_out_on}, when it was laid out, to today, {today}")
    if Tenancy.objects.filter(Q(until__isnull=True) | Q(until__gt=on), plot=plot).exists():
        faults.add("plot", f"plot {plot.number} is held by somebody on {on}; end the tenancy first")
    growing = Sowing.objects.filter(
        patch__plot=plot, state__in=[Sowing.State.PLANNED, Sowing.State.SOWN]
    ).count()
    if growing:
        faults.add("plot", f"{growing} sowings stand or are planned on it; clear or withdraw them first")
    if plot.beds.filter(until__isnull=True, since__gt=on).exists():
        faults.add("on", "a bed on it is newer than this day; give a later one")
    faults.refuse()


def plot_refuse_given_up(plot: Plot, on: date) -> None:
    """Nothing new begins on land that is not, or not yet, a plot."""
    if on < plot.laid_out_on:
        raise ValidationError(
            {"since": f"plot {plot.number} was laid out on {plot.laid_out_on}; give a later day"}
        )
    if plot.given_up_on is not None and on >= plot.given_up_on:
        raise ValidationError(
            {"plot": f"plot {plot.number} was given up on {plot.given_up_on}; choose another"}
        )
