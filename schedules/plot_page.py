"""What the page of one plot shows of one season: the drawing and, line for line, the same in words."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q

from plots.crops import Crop
from plots.crops import crop as crop_of
from plots.models import Bed, BedKind, GroundVerdict, Plot, Site, Sowing
from plots.rotation import GroundUse, Wanted, explain, judge, rest_rules
from plots.selectors import season_begins, season_name, season_of, sowings_of_plot
from schedules.drawing import BedShape, CropShape, plot_drawing
from schedules.hatches import mark_of

MM_PER_M = 1000
# Long enough before any rest period: the numbers drawn come from what is on record, not from gaps in it.
WHOLE_RECORD_SEASONS = 100
LEVEL_WORDS = {
    "sound": "rested",
    "no record": "no record",
    "possible": "perhaps not rested",
    "short": "short of the rest advised",
    "broken": "under the least rest",
}


@dataclass(frozen=True, slots=True)
class Rest:
    """Ground that still rests from a family when a season begins."""

    family: str
    mark: str
    family_name: str
    seasons: int
    free_from: str


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

    ``kind`` is empty for open ground and where the bed's name says it already.
    """

    name: str
    kind: str
    crops: tuple[CropLine, ...]
    rests: tuple[Rest, ...]

    @property
    def drawn_rest(self) -> Rest | None:
        """The rest to set large in the bed: the longest on empty ground, else one that a crop here breaks."""
        broken = {line.mark for line in self.crops if line.is_warning}
        return next((rest for rest in self.rests if not self.crops or rest.mark in broken), None)


@dataclass(frozen=True, slots=True)
class Season:
    year: int
    name: str


@dataclass(frozen=True, slots=True)
class PlotPage:
    plot: Plot
    season: int
    season_name: str
    is_present: bool
    before: Season | None
    after: Season | None
    beds: tuple[BedLine, ...]
    families: tuple[tuple[str, str], ...]
    drawing: str


def plot_page(plot: Plot, *, season: int, today: date) -> PlotPage:
    """Gather a plot's season. Four queries, however much has been grown there."""
    beds = list(_beds_of(plot, season))
    record = list(sowings_of_plot(plot))
    standing = [row for row in record if row.season <= season <= row.last_season]
    present = season_of(plot.site, today)
    past = [_use(row, present) for row in record if row.last_season < season]
    lines = [_bed_line(bed, standing, past, season) for bed in beds]
    loose = [row for row in standing if row.patch.bed_id not in {bed.pk for bed in beds}]
    if loose:
        lines.append(
            BedLine("Elsewhere on the plot", "", tuple(_crop_line(row, plot.site) for row in loose), ())
        )
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
        families=tuple(sorted({(mark_of(crop.family), family_name(crop.family)) for crop in crops})),
        drawing=_drawing(plot, beds, lines, standing, season),
    )


def family_name(family: str) -> str:
    """'carrot family'; the botanical name where no plain one is on file."""
    rule = rest_rules().get(family)
    return rule.family_name if rule and rule.family_name else family


def _season(plot: Plot, year: int) -> Season:
    return Season(year, season_name(plot.site, year))


def _beds_of(plot: Plot, season: int) -> Sequence[Bed]:
    begins, ends = season_begins(plot.site, season), season_begins(plot.site, season + 1)
    lasted = Q(since__lt=ends) & (Q(until__isnull=True) | Q(until__gt=begins))
    return sorted(plot.beds.filter(lasted), key=_natural)


def _natural(bed: Bed) -> list[tuple[int, str]]:
    """Bed 2 before bed 10."""
    parts = re.findall(r"\d+|\D+", bed.name.lower())
    return [(int(part), "") if part.isdecimal() else (-1, part) for part in parts]


def _bed_line(bed: Bed, standing: Sequence[Sowing], past: Sequence[GroundUse], season: int) -> BedLine:
    return BedLine(
        name=bed.name,
        kind=""
        if bed.kind == BedKind.OPEN or bed.get_kind_display() in bed.name.lower()
        else bed.get_kind_display(),
        crops=tuple(_crop_line(row, bed.plot.site) for row in standing if row.patch.bed_id == bed.pk),
        rests=tuple(rests_of(bed, past, season)),
    )


def rests_of(bed: Bed, past: Sequence[GroundUse], season: int) -> list[Rest]:
    """The families that some of this bed still rests from as the season begins, longest first."""
    rests = []
    for family in sorted({use.family for use in past}):
        wanted = Wanted(f"bed {bed.pk}", bed.outline, "", "", family, season)
        verdict = judge(wanted, past, record_since=season - WHOLE_RECORD_SEASONS)
        left = (verdict.free_from_season or season) - season
        if left > 0:
            free = season_name(bed.plot.site, season + left)
            rests.append(Rest(family, mark_of(family), family_name(family), left, free))
    return sorted(rests, key=lambda rest: (-rest.seasons, rest.family))


def _crop_line(row: Sowing, site: Site) -> CropLine:
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
        is_warning=bool(verdict and verdict.level in {"short", "broken"}),
        why=explain(verdict.rule, verdict.values) if verdict else "",
        source=verdict.source if verdict else "",
        free_from=season_name(site, free) if free else "",
        is_unknown=bool(verdict and verdict.level == "no record"),
        overruled_because=verdict.overruled_because if verdict and verdict.overruled_at else "",
        overruled_while=LEVEL_WORDS.get(verdict.overruled_level, "")
        if verdict and verdict.overruling_lapsed
        else "",
    )


def _use(row: Sowing, present: int) -> GroundUse:
    """A plan of a season gone by that nobody confirmed is only a possible use, as in the verdicts."""
    crop = crop_of(row.crop)
    unconfirmed = row.state == Sowing.State.PLANNED and row.last_season < present
    return GroundUse(
        str(row.key), row.patch.outline, crop.key, crop.name, crop.family,
        row.season, row.last_season, coarse=row.patch.is_coarse or unconfirmed,
    )  # fmt: skip


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
            )
        )
    crops = [crop_of(row.crop) for row in standing]
    return plot_drawing(
        title=f"Plan of plot {plot.number}, {season_name(plot.site, season)}",
        words="Drawn to scale, north up. The table below says the same in words.",
        outline=plot.outline,
        beds=shapes,
        crops=[
            CropShape(crop.name, crop.family, row.patch.outline, crop.number("row_spacing_mm") / MM_PER_M)
            for crop, row in zip(crops, standing, strict=True)
        ],
    )
