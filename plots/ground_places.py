"""Which ground is meant: a whole plot, a bed, a patch of it, or a piece drawn corner by corner."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from plots.ground_columns import Box
from plots.models import Bed, Patch, Plot
from plots.models.outlined import Outlined
from plots.outlines import Corners, polygon
from plots.placing import Strip, overhang_words, overhangs, overlap_m2, strip_outline
from plots.shapes import offset_faults, outline_of, sides_faults

Lying = TypeVar("Lying", bound=Outlined)

# Neighbours share a hedge or a path no wider than a barrow needs. Common practice, no published source.
PATH_M = 2.0


@dataclass(frozen=True, slots=True)
class GroundPlace:
    """Ground of one plot; the bed where it is one's, so that a container's mix is known from the ground."""

    plot: Plot
    bed: Bed | None
    outline: Corners

    @property
    def columns(self) -> dict[str, Any]:
        """What a row that lies there holds."""
        return {"site": self.plot.site, "plot": self.plot, "bed": self.bed, "outline": self.outline}


def whole_plot(plot: Plot) -> GroundPlace:
    return GroundPlace(plot, None, plot.outline)


def whole_bed(bed: Bed) -> GroundPlace:
    return GroundPlace(bed.plot, bed, bed.outline)


def patch_place(patch: Patch) -> GroundPlace:
    return GroundPlace(patch.plot, patch.bed, patch.outline)


def piece_of(whole: GroundPlace, strip: Strip) -> GroundPlace:
    """A part of a bed or of a plot, measured from its first corner; ValidationError names the measure."""
    wrong = sides_faults(length_m=strip.length_m, width_m=strip.width_m)
    wrong |= offset_faults(along_m=strip.along_m, across_m=strip.across_m)
    if wrong:
        raise ValidationError(wrong)
    outline = strip_outline(whole.outline, strip)
    out = overhangs(whole.outline, outline)
    if out:
        where = whole.bed.name if whole.bed else f"plot {whole.plot.number}"
        words = f"it would stick out {overhang_words(out)} of {where}; move it or make it smaller"
        raise ValidationError({"outline": words})
    return GroundPlace(whole.plot, whole.bed, outline)


def piece_drawn(plot: Plot, corners: Corners) -> GroundPlace:
    """A piece of a plot by its corners in the site's frame; ValidationError names ``outline``."""
    outline = outline_of(corners)
    out = overhangs(plot.outline, outline)
    if out:
        words = f"it would stick out {overhang_words(out)} of plot {plot.number}; correct its corners"
        raise ValidationError({"outline": words})
    return GroundPlace(plot, None, outline)


def lying_on(rows: QuerySet[Lying], outline: Corners) -> list[Lying]:
    """Those of the rows that share ground with an outline, whichever plot they were entered for."""
    box = Box(*polygon(outline).bounds)
    return [row for row in rows.filter(box.meets()) if overlap_m2(row.outline, outline)]


def neighbours(plot: Plot, others: Iterable[Plot]) -> Iterator[Plot]:
    """Those of the plots that lie along this one, with no more than a path between."""
    shape = polygon(plot.outline)
    for other in others:
        if other.pk != plot.pk and shape.distance(polygon(other.outline)) <= PATH_M:
            yield other
