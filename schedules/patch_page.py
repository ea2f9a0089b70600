"""One patch with its years: what grew on this very ground before, and when it is free again."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from plots.crops import crop as crop_of
from plots.ground_past import ground_past
from plots.measures import length_words
from plots.models import Bed, Patch, Sowing
from plots.patch_selectors import PatchYear, patch_years
from plots.placing import patch_sides
from plots.selectors import season_name, season_of
from plots.verdict_selectors import OPEN_STATES
from schedules.drawing import BedShape, plot_drawing
from schedules.fitting_ground import FittingFamily, families_fitting
from schedules.ground_notes import GroundNotes, ground_notes
from schedules.ground_rest import Rest, families_words, rests_of
from schedules.planner.sentences import Units
from schedules.plot_page import CropLine, beds_of, crop_line


@dataclass(frozen=True, slots=True)
class YearLine:
    """One sowing of the past or the plan, with how much of this ground it had."""

    crop: CropLine
    area_m2: float
    percent: int
    plot_number: str
    is_elsewhere: bool


@dataclass(frozen=True, slots=True)
class WarnedHere:
    """What is planned or stands on the whole of this patch against its rest, and what would fit instead."""

    crop_name: str
    season: str
    fits: tuple[FittingFamily, ...]


@dataclass(frozen=True, slots=True)
class PatchPage:
    patch: Patch
    head: str
    where: str
    sides: str
    years: tuple[YearLine, ...]
    rests: tuple[Rest, ...]
    season_name: str
    drawing: str
    notes: GroundNotes
    warned: WarnedHere | None


def whole_patch(bed: Bed) -> Patch:
    """A bed as a patch that is nobody's: unsaved, without a key."""
    patch = Patch(site=bed.plot.site, plot=bed.plot, bed=bed, outline=bed.outline)
    patch.measure()
    return patch


def patch_page(patch: Patch, *, today: date, units: Units) -> PatchPage:
    """Gather a patch, or a bed as ``whole_patch``, and everything that had some of its ground.

    On whichever plot it then was.
    """
    site, present = patch.site, season_of(patch.site, today)
    years = patch_years(site, patch.outline)
    carried = [year.sowing for year in years if _has_been(year.sowing, present)]
    past = ground_past(site, [patch.outline], season=present, current_season=present, with_plans=False)
    kind = patch.bed.kind if patch.bed else None
    vessel = past.mixes.vessel(patch.bed_id, kind, last_season=present)
    rests = rests_of(patch.outline, site, past, present, vessel=vessel)
    where = patch.bed.name if patch.bed else "Open ground"
    length_m, width_m = patch_sides(patch.outline)
    return PatchPage(
        patch=patch,
        head=_head(rests, bool(carried), patch.plot.record_since),
        where=where,
        sides=f"{length_words(length_m, units)} by {length_words(width_m, units)}",
        years=tuple(_year_line(year, patch) for year in years),
        rests=tuple(rests),
        season_name=season_name(site, present),
        drawing=_drawing(patch, present),
        notes=ground_notes(patch.plot, patch.outline, units=units, customs=past.customs),
        warned=_warned(years, patch, present),
    )


def _warned(years: Sequence[PatchYear], patch: Patch, present: int) -> WarnedHere | None:
    """The next of them: the first season, not past, in which this patch, or some of this bed, has one."""
    rows = [
        year.sowing
        for year in reversed(years)
        if _is_of(year.sowing, patch)
        and year.sowing.state in OPEN_STATES
        and year.season >= present
        and crop_line(year.sowing, patch.site).is_warning
    ]
    if not rows:
        return None
    row = rows[0]
    row.patch.site = row.patch.plot.site = patch.site
    fits = families_fitting(row, current_season=present)
    return WarnedHere(crop_of(row.crop).name_in_text, season_name(patch.site, row.season), fits)


def _is_of(row: Sowing, patch: Patch) -> bool:
    return row.patch_id == patch.pk if patch.pk else row.patch.bed_id == patch.bed_id


def _has_been(row: Sowing, present: int) -> bool:
    return row.season < present or row.state != Sowing.State.PLANNED


def _head(rests: list[Rest], has_record: bool, record_since: int | None) -> str:
    if rests:
        still = "may still rest" if all(rest.is_possible for rest in rests) else "still rests"
        return f"This ground {still} from {families_words(rests)}"
    if not has_record and record_since is None:
        return "Nothing is known of what grew on this ground"
    return "This ground rests from no family on record"


def _year_line(year: PatchYear, patch: Patch) -> YearLine:
    row = year.sowing
    return YearLine(
        crop=crop_line(row, patch.site),
        area_m2=year.area_m2,
        percent=round(year.share * 100),
        plot_number=row.patch.plot.number,
        is_elsewhere=row.patch.plot_id != patch.plot_id,
    )


def _drawing(patch: Patch, present: int) -> str:
    plot = patch.plot
    return plot_drawing(
        title=f"Where it lies on plot {plot.number}",
        words="Drawn to scale, north up. The heavy outline is this ground.",
        outline=plot.outline,
        beds=[BedShape(bed.name, bed.outline) for bed in beds_of(plot, present)],
        crops=[],
        marked=[patch.outline],
    )
