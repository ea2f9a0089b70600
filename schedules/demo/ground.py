"""The invented land: plots, beds, who works them, and what stood where."""

import math
from collections.abc import Sequence
from datetime import date, timedelta

from plots.models import Bed, CoWorker, Patch, Plot, Site, Sowing, Tenancy, TenancyHolder
from plots.outlines import Corners, polygon, rectangle
from plots.selectors import season_begins
from schedules.demo.layout import BedSpec, Layout
from schedules.demo.people import years_before
from schedules.demo.standing import Standing
from schedules.demo.tables import MonthDay, Row
from society.models import Member

PLOTS_OLDER_THAN_RECORD_YEARS = 20
AHEAD_OF_SOWING = timedelta(days=28)  # time enough to warm the ground

Beds = dict[tuple[str, str], Bed]


def plots_load(
    layout: Layout, site: Site, members: dict[str, Member], *, today: date, season: int
) -> dict[str, Plot]:
    """Write plots with their tenants, by number."""
    laid_out_on = years_before(
        season_begins(site, season - layout.about["record_seasons"]), PLOTS_OLDER_THAN_RECORD_YEARS
    )
    plots = {row.text("plot"): _plot(row, site, season, laid_out_on) for row in layout.plots}
    Plot.objects.bulk_create(plots.values())
    _workers(layout, plots, members, today=today)
    return plots


def _plot(row: Row, site: Site, season: int, laid_out_on: date) -> Plot:
    outline = _corners(row)
    return Plot(
        site=site,
        number=row.text("plot"),
        outline=outline,
        area_m2=round(polygon(outline).area, 2),
        record_since=season - row.whole("known_seasons"),
        laid_out_on=laid_out_on,
    )


def _corners(row: Row) -> Corners:
    """'12.00 6.00; 31.80 8.78; …': metres east and north; the first is where the plot's own grid begins."""
    try:
        corners = [[float(metres) for metres in corner.split()] for corner in row.several("corners")]
    except ValueError:
        raise row.fault("corners", "must be numbers of metres: east north; east north; …") from None
    if len(corners) < 3 or any(len(corner) != 2 for corner in corners) or not polygon(corners).is_valid:
        raise row.fault("corners", "must go once round the plot: east north; east north; …")
    return corners


def _workers(layout: Layout, plots: dict[str, Plot], members: dict[str, Member], *, today: date) -> None:
    for row in layout.plots:
        plot = plots[row.text("plot")]
        if row.maybe("held_by"):
            tenancy = Tenancy.objects.create(plot=plot, since=years_before(today, row.whole("held_years")))
            TenancyHolder.objects.bulk_create(
                TenancyHolder(tenancy=tenancy, member=members[key]) for key in row.several("held_by")
            )
        for key in row.several("helped_by"):
            CoWorker.objects.create(plot=plot, member=members[key], since=years_before(today, 1))


def beds_load(layout: Layout, site: Site, plots: dict[str, Plot], *, season: int) -> Beds:
    """Write the beds, those that were dug over again too; by plot and name."""
    beds = [_bed(spec, layout.plot(spec.plot), plots[spec.plot], layout, season) for spec in layout.beds]
    return {(bed.plot.number, bed.name): bed for bed in Bed.objects.bulk_create(beds)}


def _bed(spec: BedSpec, plot_row: Row, plot: Plot, layout: Layout, season: int) -> Bed:
    site, oldest, row = plot.site, layout.about["record_seasons"], spec.row
    outline = _bed_outline(spec, plot_row, plot)
    if not polygon(plot.outline).covers(polygon(outline)):
        raise row.fault("along_m", f"{spec.name} lies partly outside plot {plot.number}; move or shorten it")
    return Bed(
        plot=plot,
        name=spec.name,
        kind=row.text("kind"),
        outline=outline,
        height_m=row.number("height_m"),
        soil=row.maybe("soil"),
        since=season_begins(site, season - (oldest if spec.dug is None else spec.dug)),
        until=None if spec.closed is None else season_begins(site, season - spec.closed),
    )


def _bed_outline(spec: BedSpec, plot_row: Row, plot: Plot) -> Corners:
    """A rectangle placed in the plot's own grid, turned against it, as corners in the site's frame."""
    row, angle = spec.row, plot_row.number("angle_deg")
    turned = angle + row.number("turn_deg")
    at = _moved(plot.outline[0], row.number("along_m"), row.number("across_m"), angle)
    at = _moved(at, 0, row.number("step_m") * spec.place, turned)
    corner = (at[0], at[1])
    return rectangle(corner, length_m=row.number("length_m"), width_m=row.number("width_m"), angle_deg=turned)


def _moved(start: Sequence[float], along_m: float, left_m: float, angle_deg: float) -> list[float]:
    turn = math.radians(angle_deg)
    return [
        start[0] + along_m * math.cos(turn) - left_m * math.sin(turn),
        start[1] + along_m * math.sin(turn) + left_m * math.cos(turn),
    ]


def standing_load(layout: Layout, beds: Beds, *, season: int) -> list[tuple[Sowing, Standing]]:
    """Write every sowing; returns those to be lived or planned, all of them still as a plan."""
    patches = Patch.objects.bulk_create(_patch(each, beds[each.plot, each.bed]) for each in layout.standing)
    later = {row.text("plot"): timedelta(days=row.whole("days_later")) for row in layout.plots}
    made = [
        (_planned if each.is_lived else _past)(each, patch, season + each.season, later[each.plot])
        for each, patch in zip(layout.standing, patches, strict=True)
    ]
    sowings = Sowing.objects.bulk_create(made)
    return [(sowing, each) for sowing, each in zip(sowings, layout.standing, strict=True) if each.is_lived]


def _past(each: Standing, patch: Patch, season: int, later: timedelta) -> Sowing:
    sown_on, ended_on = on(each.course.sow, season) + later, gone_on(each, season, later)
    return Sowing(
        patch=patch,
        crop=each.course.crop,
        season=season,
        last_season=season + each.course.overwinters,
        state=Sowing.State.LIFTED if ended_on else Sowing.State.SOWN,
        sow_on=sown_on,
        sown_on=sown_on,
        ended_on=ended_on,
    )


def _planned(each: Standing, patch: Patch, season: int, later: timedelta) -> Sowing:
    sow_on = on(each.course.sow, season) + later
    return Sowing(
        patch=patch,
        crop=each.course.crop,
        season=season,
        last_season=season + each.course.overwinters,
        sow_on=None if each.course.is_fit else sow_on,
        not_before=sow_on if each.course.is_fit else sow_on - AHEAD_OF_SOWING,
        cover=each.course.cover,
    )


def _patch(each: Standing, bed: Bed) -> Patch:
    patch = Patch(
        site_id=bed.plot.site_id,
        plot=bed.plot,
        bed=bed,
        outline=_stretch(bed.outline, each.from_m, each.to_m),
        is_coarse=each.is_rough,
    )
    patch.measure()
    return patch


def _stretch(bed: Corners, from_m: float, to_m: float) -> Corners:
    """The part of a bed between two distances along its first edge."""
    near, far, far_across, near_across = bed
    length = math.dist(near, far)

    def between(start: list[float], end: list[float], distance_m: float) -> list[float]:
        share = distance_m / length
        return [round(a + share * (b - a), 4) for a, b in zip(start, end, strict=True)]

    return [
        between(near, far, from_m),
        between(near, far, to_m),
        between(near_across, far_across, to_m),
        between(near_across, far_across, from_m),
    ]


def gone_on(each: Standing, season: int, later: timedelta) -> date | None:
    """The day on which the ground was, or is to be, empty again; none for what stays."""
    if each.course.gone is None:
        return None
    return on(each.course.gone, season + each.course.overwinters) + later


def on(day: MonthDay, season: int) -> date:
    """A day of the year in a season that is the calendar year, as this site's is."""
    return date(season, day.month, day.day)
