"""What the page of one plot shows of one season: the drawing and, line for line, the same in words."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.urls import reverse

from plots.crops import Crop
from plots.crops import crop as crop_of
from plots.ground_past import ground_past
from plots.ground_selectors import GroundRecord
from plots.measures import area_words
from plots.models import Bed, BedKind, GroundVerdict, Plot, Site, Sowing
from plots.natural_order import natural_key
from plots.placing import overhangs
from plots.plot_lineage import beds_on_land, record_of_plot
from plots.selectors import season_begins, season_name, season_of
from plots.verdict_selectors import WARNING_LEVELS
from schedules.drawing import BedShape, CropShape, plot_drawing
from schedules.ground_rest import LEVEL_WORDS, Rest, family_name, rests_of_bed
from schedules.hatches import hatch_id, mark_of
from schedules.stored_reasons import verdict_read

MM_PER_M = 1000


@dataclass(frozen=True, slots=True)
class CropLine:
    """One sowing of the season in words."""

    sowing: Sowing
    crop: Crop
    mark: str
    bed_name: str
    season: str
    state: str
    verdict: str
    is_warning: bool
    why: str
    source: str
    free_from: str
    is_unknown: bool
    overruled_because: str
    overruled_while: str


@dataclass(frozen=True, slots=True)
class BedLine:
    """One bed with what stands on it this season and what it still rests from.

    ``kind`` is empty for open ground and where the bed's name says it already; ``bed`` is None for what
    lies in none.
    """

    bed: Bed | None
    name: str
    kind: str
    crops: tuple[CropLine, ...]
    rests: tuple[Rest, ...]

    @property
    def drawn_rest(self) -> Rest | None:
        """The rest to set large in the bed: the longest on empty ground, else one that a crop here breaks."""
        broken = {line.mark for line in self.crops if line.is_warning}
        return next(
            (rest for rest in self.rests if rest.mark and (not self.crops or rest.mark in broken)), None
        )


@dataclass(frozen=True, slots=True)
class Season:
    year: int
    name: str


@dataclass(frozen=True, slots=True)
class LegendLine:
    """One hatch of the drawing and the family that it stands for."""

    hatch: str
    mark: str
    family_name: str


@dataclass(frozen=True, slots=True)
class PlotPage:
    plot: Plot
    season: int
    season_name: str
    is_present: bool
    before: Season | None
    after: Season | None
    beds: tuple[BedLine, ...]
    legend: tuple[LegendLine, ...]
    draws_rest: bool
    can_plan: bool
    plans_from: str
    drawing: str

    @property
    def area_text(self) -> str:
        return area_words(float(self.plot.area_m2))


def plot_page(plot: Plot, *, season: int, today: date) -> PlotPage:
    """Gather a plot's season. Eleven queries, however much has been grown there."""
    beds = list(beds_of(plot, season))
    record = record_of_plot(plot)
    standing = [row for row in record if row.season <= season <= row.last_season]
    present = season_of(plot.site, today)
    past = _past(plot, season, present)
    homes = {row.pk: _home(row, beds) for row in standing}
    lines = [
        _bed_line(plot, bed, [row for row in standing if homes[row.pk] == bed.pk], past, season)
        for bed in beds
    ]
    loose = [row for row in standing if homes[row.pk] is None]
    if loose:
        elsewhere = tuple(crop_line(row, plot.site) for row in loose)
        lines.append(BedLine(None, "Elsewhere on the plot", "", elsewhere, ()))
    known = [row.season for row in record] + [plot.record_since or season, present]
    crops = [line.crop for bed in lines for line in bed.crops]
    return PlotPage(
        plot=plot,
        season=season,
        season_name=season_name(plot.site, season),
        is_present=season == present,
        before=_season(plot, season - 1) if season > min(known) else None,
        after=_season(plot, season + 1) if season <= max(known) else None,
        beds=tuple(lines),
        legend=tuple(legend_line(family) for family in sorted({crop.family for crop in crops})),
        draws_rest=any(line.drawn_rest for line in lines),
        can_plan=season >= present and plot.given_up_on is None,
        plans_from="" if season == present else season_begins(plot.site, season).isoformat(),
        drawing=_drawing(plot, beds, lines, standing, season),
    )


def _past(plot: Plot, season: int, present: int) -> GroundRecord:
    """What the ground carries into a season: what stands in it is another matter, and drawn beside."""
    record = ground_past(plot.site, [plot.outline], season=season, current_season=present)
    return replace(record, uses=[use for use in record.uses if use.last_season < season])


def legend_line(family: str, *, own: str = "") -> LegendLine:
    """``own`` stands before the names of the drawing, where a page has several."""
    return LegendLine(f"{own}{hatch_id(family)}", mark_of(family), family_name(family))


def _season(plot: Plot, year: int) -> Season:
    return Season(year, season_name(plot.site, year))


def beds_of(plot: Plot, season: int) -> Sequence[Bed]:
    begins, ends = season_begins(plot.site, season), season_begins(plot.site, season + 1)
    return sorted(beds_on_land(plot, begins=begins, ends=ends), key=lambda bed: natural_key(bed.name))


def _home(row: Sowing, beds: Sequence[Bed]) -> int | None:
    """The bed that a sowing stands in; where its own is not here any more, the one that holds its patch."""
    if any(bed.pk == row.patch.bed_id for bed in beds):
        return row.patch.bed_id
    if row.patch.bed is None or row.patch.bed.kind == BedKind.CONTAINER:
        return None
    holding = (bed for bed in beds if bed.kind != BedKind.CONTAINER)
    return next((bed.pk for bed in holding if not overhangs(bed.outline, row.patch.outline)), None)


def _bed_line(plot: Plot, bed: Bed, standing: Sequence[Sowing], past: GroundRecord, season: int) -> BedLine:
    return BedLine(
        bed=bed,
        name=bed.name if bed.plot_id == plot.pk else f"{bed.name} of plot {bed.plot.number}",
        kind=kind_words(bed),
        crops=tuple(crop_line(row, bed.plot.site) for row in standing),
        rests=tuple(rests_of_bed(bed, bed.plot.site, past, season)),
    )


def kind_words(bed: Bed) -> str:
    """'raised bed'; nothing for open ground, nor where the name says it already."""
    kind = bed.get_kind_display()
    return "" if bed.kind == BedKind.OPEN or kind in bed.name.lower() else kind


def crop_line(row: Sowing, site: Site) -> CropLine:
    crop = crop_of(row.crop)
    verdict: GroundVerdict | None = getattr(row, "verdict", None)
    overwintered = f"{season_name(site, row.season)} to {season_name(site, row.last_season)}"
    free = verdict.free_from_season if verdict else None
    return CropLine(
        sowing=row,
        crop=crop,
        mark=mark_of(crop.family),
        bed_name=row.patch.bed.name if row.patch.bed else "",
        season=season_name(site, row.season) if row.season == row.last_season else overwintered,
        state=row.get_state_display(),
        verdict=LEVEL_WORDS.get(verdict.level, verdict.level) if verdict else "not judged yet",
        is_warning=bool(verdict and verdict.level in WARNING_LEVELS),
        why=verdict_read(verdict.rule, verdict.values) if verdict else "",
        source=verdict.source if verdict else "",
        free_from=season_name(site, free) if free else "",
        is_unknown=bool(verdict and verdict.level == "no record"),
        overruled_because=verdict.overruled_because if verdict and verdict.overruled_at else "",
        overruled_while=LEVEL_WORDS.get(verdict.overruled_level, "")
        if verdict and verdict.overruling_lapsed
        else "",
    )


def patch_way(row: Sowing) -> str:
    return reverse("patch", args=[row.patch.plot_id, row.patch_id])


def crop_shape(row: Sowing, *, way: str = "") -> CropShape:
    crop = crop_of(row.crop)
    spacing_m = crop.number("row_spacing_mm") / MM_PER_M
    return CropShape(crop.name, crop.family, row.patch.outline, spacing_m, way)


def _drawing(
    plot: Plot, beds: Sequence[Bed], lines: Sequence[BedLine], standing: Sequence[Sowing], season: int
) -> str:
    shapes = []
    for bed, line in zip(beds, lines, strict=False):  # sowings outside any bed have a line and no bed
        rest = line.drawn_rest
        shapes.append(
            BedShape(
                bed.name,
                bed.outline,
                rest.seasons if rest else 0,
                rest.family if rest else "",
                is_possible=bool(rest and rest.is_possible),
                way=reverse("bed", args=[plot.pk, bed.pk]) if bed.plot_id == plot.pk else "",
            )
        )
    return plot_drawing(
        title=f"Plan of plot {plot.number}, {season_name(plot.site, season)}",
        words="Drawn to scale, north up. The table below says the same in words.",
        outline=plot.outline,
        beds=shapes,
        crops=[
            crop_shape(row, way=patch_way(row) if row.patch.plot_id == plot.pk else "") for row in standing
        ],
    )
