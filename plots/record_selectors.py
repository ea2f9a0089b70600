"""The record of a site's ground in the form in which old records are read. Nothing here writes."""

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import lru_cache, partial
from typing import TypeVar

from shapely import Polygon

from plots.models import Bed, OtherUse, Plot, Sighting, Site, Sowing
from plots.models.outlined import Outlined
from plots.natural_sorting import Naturally
from plots.record_csv import Moment, RecordRow, What, Where
from plots.selectors import season_begins, season_of

Row = TypeVar("Row")

ROUGHLY = "roughly"
PLOTS_AT_ONCE = 50
SAME_M, SAME_M2 = 0.005, 0.01


def record_rows(
    site: Site, *, today: date, since: int | None = None, until: int | None = None
) -> Iterator[RecordRow]:
    """What grew and what was seen, plot by plot; no plans, nothing to come, nothing that was withdrawn.

    ``since`` and ``until`` bound the seasons in which it was begun.
    """
    current = season_of(site, today)
    seasons = (since or 0, min(current, until or current))
    plots = list(Plot.objects.filter(site=site).order_by(Naturally("number"), "pk"))
    for at in range(0, len(plots), PLOTS_AT_ONCE):
        yield from _of_plots(site, plots[at : at + PLOTS_AT_ONCE], seasons, current)


def _of_plots(
    site: Site, plots: Sequence[Plot], seasons: tuple[int, int], current: int
) -> Iterator[RecordRow]:
    """What some plots have on record: four queries, however many they are."""
    names: Mapping[int, Counter[str]] = defaultdict(Counter)
    for plot_id, name in Bed.objects.filter(plot__in=plots).values_list("plot", "name"):
        names[plot_id][name] += 1
    sown = Sowing.objects.filter(patch__site=site, patch__plot__in=plots, season__range=seasons)
    sown = sown.exclude(state=Sowing.State.PLANNED).select_related("patch__bed").order_by("season", "pk")
    kept = {"site": site, "plot__in": plots, "withdrawn_at__isnull": True}
    uses = OtherUse.objects.filter(**kept, first_season__range=seasons).select_related("bed")
    seen = Sighting.objects.filter(**kept, season__range=seasons).select_related("bed")
    sowings_of = _by_plot(sown, lambda row: row.patch.plot_id)
    uses_of = _by_plot(uses.order_by("first_season", "pk"), lambda row: row.plot_id)
    seen_on = _by_plot(seen.order_by("season", "pk"), lambda row: row.plot_id)
    for plot in plots:
        where = partial(_where, plot, names[plot.pk])
        for row in sowings_of[plot.pk]:
            yield _sowing(site, where(row.patch, row.patch.bed, is_coarse=row.patch.is_coarse), row)
        for use in uses_of[plot.pk]:
            yield _other(where(use, use.bed, is_coarse=use.is_coarse), use, current)
        for sighting in seen_on[plot.pk]:
            yield _sighting(site, where(sighting, sighting.bed, is_coarse=False), sighting)


def _by_plot(rows: Iterable[Row], plot_of: Callable[[Row], int]) -> Mapping[int, list[Row]]:
    found: Mapping[int, list[Row]] = defaultdict(list)
    for row in rows:
        found[plot_of(row)].append(row)
    return found


def _sowing(site: Site, where: Where, row: Sowing) -> RecordRow:
    """Days that lie outside its seasons are left out, or they would be read as other seasons."""
    begun = Moment(day=row.sown_on) if row.sown_on and season_of(site, row.sown_on) == row.season else None
    ended = Moment(year=row.last_season) if row.last_season > row.season else None
    if row.state == Sowing.State.SOWN:
        ended = Moment(stands=True)
    elif row.ended_on is not None and season_of(site, row.ended_on) >= row.season:
        ended = Moment(day=row.ended_on)
    failed = row.state == Sowing.State.CLEARED
    what = What(row.crop_name, "", row.crop)
    return RecordRow(0, row.season, where, begun, ended, what, variety=row.variety, failed=failed)


def _other(where: Where, row: OtherUse, current: int) -> RecordRow:
    last = min(row.last_season, current)
    ended = Moment(year=last) if last > row.first_season else None
    what = What(row.name, row.family, is_root=row.is_root)
    return RecordRow(0, row.first_season, where, None, ended, what, note=row.note)


def _sighting(site: Site, where: Where, row: Sighting) -> RecordRow:
    day = None if row.seen_on == season_begins(site, row.season) else Moment(day=row.seen_on)
    return RecordRow(0, row.season, where, day, problem=row.problem, is_sure=row.is_sure, note=row.note)


def _where(plot: Plot, names: Counter[str], row: Outlined, bed: Bed | None, *, is_coarse: bool) -> Where:
    """In words where the ground is a whole bed, the only one of its name, or a plot; else by its corners."""
    part = ROUGHLY if is_coarse else ""
    name = bed.name if bed is not None else ""
    whole = bed.outline if bed is not None else plot.outline
    if names[name] <= 1 and _is_all_of(row, *_measured(tuple(map(tuple, whole)))):
        return Where(plot.number, name or "whole plot", part)
    return Where(plot.number, name, part, tuple((corner[0], corner[1]) for corner in row.outline))


@lru_cache(maxsize=4096)
def _measured(outline: tuple[tuple[float, float], ...]) -> tuple[tuple[float, ...], float]:
    """Bounding box and area of a bed or a plot; many rows lie on each."""
    shape = Polygon(outline)
    return shape.bounds, shape.area


def _is_all_of(row: Outlined, bounds: tuple[float, ...], area_m2: float) -> bool:
    own = (row.min_x, row.min_y, row.max_x, row.max_y)
    near = all(abs(a - b) <= SAME_M for a, b in zip(own, bounds, strict=True))
    return near and abs(row.area_m2 - area_m2) <= SAME_M2
