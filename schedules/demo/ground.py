"""The invented land: plots, beds, who works them, and what stood where."""

from collections.abc import Sequence
from datetime import date, timedelta

from plots.models import Bed, CoWorker, Patch, Plot, Site, Sowing, Tenancy, TenancyHolder
from plots.outlines import Corners, polygon, rectangle
from plots.selectors import season_begins
from schedules.demo.layout import Layout, PastCrop, PlannedCrop, Strip
from schedules.demo.people import years_before
from schedules.demo.tables import MonthDay, Row
from society.models import Member

PLOTS_OLDER_THAN_RECORD_YEARS = 20
AHEAD_OF_SOWING = timedelta(days=28)  # time enough to warm the ground

Beds = dict[tuple[str, str], Bed]


def plots_load(
    layout: Layout, site: Site, members: dict[str, Member], *, today: date, record_since: int
) -> Beds:
    """Write plots with their tenants and beds; returns the beds by plot and name."""
    since = season_begins(site, record_since)
    plots = {}
    for row in layout.plots:
        outline = _turned(row, 0.0, 0.0, row.number("length_m"), row.number("width_m"))
        plot = Plot.objects.create(
            site=site,
            number=row.text("plot"),
            outline=outline,
            area_m2=round(polygon(outline).area, 2),
            record_since=record_since,
            laid_out_on=years_before(since, PLOTS_OLDER_THAN_RECORD_YEARS),
        )
        _workers(row, plot, members, today)
        plots[row.text("plot")] = (plot, row)
    beds = Bed.objects.bulk_create(_bed(row, *plots[row.text("plot")], since) for row in layout.beds)
    return {(bed.plot.number, bed.name): bed for bed in beds}


def _workers(row: Row, plot: Plot, members: dict[str, Member], today: date) -> None:
    tenancy = Tenancy.objects.create(plot=plot, since=years_before(today, row.whole("held_years")))
    for key in row.several("held_by"):
        TenancyHolder.objects.create(tenancy=tenancy, member=members[key])
    for key in row.several("helped_by"):
        CoWorker.objects.create(plot=plot, member=members[key], since=years_before(today, 1))


def _bed(row: Row, plot: Plot, frame: Row, since: date) -> Bed:
    corner = row.number("along_m"), row.number("across_m")
    return Bed(
        plot=plot,
        name=row.text("bed"),
        kind=row.text("kind"),
        outline=_turned(frame, *corner, row.number("length_m"), row.number("width_m")),
        height_m=row.number("height_m"),
        soil=row.maybe("soil"),
        since=since,
    )


def _turned(plot: Row, along_m: float, across_m: float, length_m: float, width_m: float) -> Corners:
    """A rectangle of the plot's own grid, as corners in the site's frame."""
    angle = plot.number("angle_deg")
    east, north = plot.number("east_m"), plot.number("north_m")
    if along_m and across_m:
        east, north = rectangle((east, north), length_m=along_m, width_m=across_m, angle_deg=angle)[2]
    return rectangle((east, north), length_m=length_m, width_m=width_m, angle_deg=angle)


def past_load(record: Sequence[PastCrop], beds: Beds, *, season: int) -> None:
    """Write the seasons gone by."""
    patches = _patches([(past.strip, past.coarse) for past in record], beds)
    Sowing.objects.bulk_create(
        Sowing(
            patch=patch,
            crop=past.strip.crop,
            variety=past.strip.variety,
            season=season - past.seasons_ago,
            last_season=season - past.seasons_ago,
            state=Sowing.State.LIFTED,
            sow_on=on(past.sown, season - past.seasons_ago),
            sown_on=on(past.sown, season - past.seasons_ago),
            ended_on=on(past.ended, season - past.seasons_ago),
        )
        for past, patch in zip(record, patches, strict=True)
    )


def plans_load(plans: Sequence[PlannedCrop], beds: Beds, *, season: int) -> list[tuple[Sowing, PlannedCrop]]:
    """Write what is to be lived or planned, all of it still as a plan."""
    patches = _patches([(plan.strip, False) for plan in plans], beds)
    sowings = Sowing.objects.bulk_create(
        _planned(plan, patch, season + plan.season) for plan, patch in zip(plans, patches, strict=True)
    )
    return list(zip(sowings, plans, strict=True))


def _planned(plan: PlannedCrop, patch: Patch, season: int) -> Sowing:
    sow_on = on(plan.sow, season) if plan.sow else None
    not_before = on(plan.not_before, season) if plan.not_before else None
    return Sowing(
        patch=patch,
        crop=plan.strip.crop,
        variety=plan.strip.variety,
        season=season,
        # Roots whose lifting is put off stand on into the next season.
        last_season=season + bool(plan.put_off),
        sow_on=sow_on,
        not_before=sow_on - AHEAD_OF_SOWING if sow_on else not_before,
        cover=plan.cover,
    )


def _patches(strips: Sequence[tuple[Strip, bool]], beds: Beds) -> list[Patch]:
    patches = []
    for strip, is_coarse in strips:
        bed = beds[strip.plot, strip.bed]
        patch = Patch(
            site_id=bed.plot.site_id,
            plot=bed.plot,
            bed=bed,
            outline=_stretch(bed.outline, strip.from_m, strip.to_m),
            is_coarse=is_coarse,
        )
        patch.measure()
        patches.append(patch)
    return Patch.objects.bulk_create(patches)


def _stretch(bed: Corners, from_m: float, to_m: float) -> Corners:
    """The part of a bed between two distances along its first edge."""
    near, far, far_across, near_across = bed
    length = ((far[0] - near[0]) ** 2 + (far[1] - near[1]) ** 2) ** 0.5

    def between(start: list[float], end: list[float], distance_m: float) -> list[float]:
        share = distance_m / length
        return [round(a + share * (b - a), 4) for a, b in zip(start, end, strict=True)]

    return [
        between(near, far, from_m),
        between(near, far, to_m),
        between(near_across, far_across, to_m),
        between(near_across, far_across, from_m),
    ]


def on(day: MonthDay, season: int) -> date:
    """A day of the year in a season that is the calendar year, as this site's is."""
    return date(season, day.month, day.day)
