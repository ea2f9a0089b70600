"""Beds as the committee looks at them: one bed with its ground's past, and a wish before it is kept."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from plots.bed_checks import standing_on, standing_words
from plots.bed_drafts import Digging
from plots.bed_shapes import long_side, side_length
from plots.crops import crop as crop_of
from plots.measures import length_words
from plots.models import Bed, Plot, Sowing
from plots.natural_order import natural_key
from plots.outlines import Corners, polygon
from plots.patch_selectors import patch_years
from plots.placing import first_corner_words, patch_sides
from plots.selectors import season_name
from schedules.drawing import BedShape, CropShape, plot_drawing

MM_PER_M = 1000
MOST_YEARS = 40


@dataclass(frozen=True, slots=True)
class BedSize:
    """One bed in numbers."""

    name: str
    sides: str
    area_m2: float


@dataclass(frozen=True, slots=True)
class DiggingSheet:
    """A wish drawn to scale, and the same in words."""

    drawing: str
    first_corner: str
    laying: tuple[BedSize, ...]
    closing: tuple[BedSize, ...]
    standing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class GroundYear:
    """What a bed's ground carried once, and under what name."""

    season: str
    crop_name: str
    where: str
    percent: int


@dataclass(frozen=True, slots=True)
class BedSheet:
    bed: Bed
    size: BedSize
    drawing: str
    length_words: str
    standing: tuple[str, ...]
    years: tuple[GroundYear, ...]
    more_years: int


def beds_open(plot: Plot, *, on: date) -> list[Bed]:
    """The plot's beds on a day, bed 2 before bed 10. One query."""
    rows = [bed for bed in plot.beds.all() if bed.until is None or bed.until > on]
    return sorted(rows, key=lambda bed: natural_key(bed.name))


def digging_sheet(digging: Digging, beds: Sequence[Bed]) -> DiggingSheet:
    """``beds`` are those of the plot now; the drawing shows what is to be."""
    plot = digging.plot
    ending = {bed.pk for bed in digging.closing}
    staying = [bed for bed in beds if bed.pk not in ending]
    return DiggingSheet(
        drawing=plot_drawing(
            title=f"Plan of plot {plot.number} as it would be",
            words="Drawn to scale, north up. The table says the same in words.",
            outline=plot.outline,
            beds=[BedShape(bed.name, bed.outline) for bed in (*staying, *digging.laying)],
            crops=crops_drawn(digging.standing),
            marked=[bed.outline for bed in digging.laying],
            ended=[bed.outline for bed in digging.closing],
        ),
        first_corner=first_corner_words(plot.outline),
        laying=tuple(map(bed_size, digging.laying)),
        closing=tuple(map(bed_size, digging.closing)),
        standing=tuple(f"{standing_words(row)}, and stays where it is." for row in digging.standing),
    )


def beds_now(
    plot: Plot, beds: Sequence[Bed], *, about: Sequence[Bed] = (), wished: Sequence[Corners] = ()
) -> str:
    """The plot as it is; heavy the beds it is about, in dashes where a refused wish would lie."""
    return plot_drawing(
        title=f"Plan of plot {plot.number} as it is now",
        words="Drawn to scale, north up.",
        outline=plot.outline,
        beds=[BedShape(bed.name, bed.outline) for bed in beds],
        crops=[],
        marked=[bed.outline for bed in about],
        ended=wished,
    )


def bed_sheet(bed: Bed, *, on: date) -> BedSheet:
    """A bed on its plot, with what stands on its ground and what was grown there under whatever name."""
    plot, site = bed.plot, bed.plot.site
    standing = standing_on([bed.outline], site_id=site.pk)
    years = patch_years(site, bed.outline)
    return BedSheet(
        bed=bed,
        size=bed_size(bed),
        drawing=plot_drawing(
            title=f"Where {bed.name} lies on plot {plot.number}",
            words="Drawn to scale, north up. The heavy outline is this bed.",
            outline=plot.outline,
            beds=[BedShape(each.name, each.outline) for each in beds_open(plot, on=on)],
            crops=crops_drawn(row for row in standing if row.state == Sowing.State.SOWN),
            marked=[bed.outline],
        ),
        length_words=length_words(side_length(bed.outline, long_side(bed.outline))),
        standing=tuple(f"{standing_words(row)}." for row in standing),
        years=tuple(
            GroundYear(
                season_name(site, year.season),
                year.sowing.crop_name,
                _where(year.sowing, bed),
                round(year.share * 100),
            )
            for year in years[:MOST_YEARS]
        ),
        more_years=max(0, len(years) - MOST_YEARS),
    )


def bed_size(bed: Bed) -> BedSize:
    return size_of(bed.name, bed.outline)


def size_of(name: str, outline: Corners) -> BedSize:
    length_m, width_m = patch_sides(outline)
    return BedSize(name, f"{length_words(length_m)} by {length_words(width_m)}", polygon(outline).area)


def crops_drawn(rows: Iterable[Sowing]) -> list[CropShape]:
    found = []
    for row in rows:
        crop = crop_of(row.crop)
        spacing_m = crop.number("row_spacing_mm") / MM_PER_M
        found.append(CropShape(crop.name, crop.family, row.patch.outline, spacing_m))
    return found


def _where(row: Sowing, bed: Bed) -> str:
    patch = row.patch
    name = patch.bed.name if patch.bed else "open ground"
    return name if patch.plot_id == bed.plot_id else f"{name} of plot {patch.plot.number}"
