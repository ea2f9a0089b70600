"""Land divided anew as the committee looks at it, before it is kept."""

import math
from dataclasses import dataclass

from plots.bed_checks import standing_words
from plots.bed_shapes import joined
from plots.measures import area_words, length_words
from plots.models import Plot
from plots.outlines import Corners, polygon
from plots.plot_drafts import HEDGE_M, Parting
from plots.surveying import Ends, Survey, survey_words
from schedules.bed_sheets import BedSize, crops_drawn, size_of
from schedules.drawing import BedShape, plot_drawing


@dataclass(frozen=True, slots=True)
class NewPlot:
    """One of the new plots in words: who holds it, its beds, what stands there."""

    number: str
    area: str
    is_kept: bool
    beds: tuple[BedSize, ...]
    standing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartingSheet:
    drawing: str
    plots: tuple[NewPlot, ...]
    holders: str
    record: str
    cut: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TapedLine:
    """One taped length beside what the adjusted corners make of it."""

    ends: str
    taped: str
    adjusted: str
    off: str


@dataclass(frozen=True, slots=True)
class SurveySheet:
    drawing: str
    words: str
    area: str
    lines: tuple[TapedLine, ...]
    corners: tuple[tuple[int, float, float], ...]


def parting_sheet(parting: Parting) -> PartingSheet:
    is_halving = len(parting.making) > 1
    whole = parting.ending[0].outline if is_halving else parting.making[0].outline
    beds = [BedShape(new.plan.name, new.plan.outline) for new in parting.beds]
    beds += [BedShape(bed.name, bed.outline) for bed, _ in parting.carried]
    first = parting.tenancies[0] if parting.tenancies else None
    return PartingSheet(
        drawing=plot_drawing(
            title=f"Plan of {_named(parting.making)} as it would be",
            words="Drawn to scale, north up. The tables say the same in words.",
            outline=whole,
            beds=beds,
            crops=crops_drawn(row for row, _ in parting.standing),
            marked=[plot.outline for plot in parting.making],
            ended=[] if is_halving else [plot.outline for plot in parting.ending],
        ),
        plots=tuple(_new_plot(parting, which) for which in range(len(parting.making))),
        holders=" and ".join(member.name for member in first.holders.all()) if first else "",
        record=_record_words(parting),
        cut=tuple(sorted(_cut_beds(parting))),
    )


def survey_sheet(found: Survey, outline: Corners, lengths: dict[Ends, float], *, number: str) -> SurveySheet:
    return SurveySheet(
        drawing=plot_drawing(
            title=f"Plan of plot {number} as taped",
            words="Drawn to scale, north up. The tables say the same in numbers.",
            outline=outline,
            beds=[],
            crops=[],
        ),
        words=survey_words(found),
        area=area_words(polygon(outline).area),
        lines=tuple(_taped(ends, metres, outline) for ends, metres in sorted(lengths.items())),
        corners=tuple((at, x, y) for at, (x, y) in enumerate(outline, start=1)),
    )


def adjoining(plot: Plot, others: list[Plot]) -> list[Plot]:
    """Those of the plots that could be one with it."""
    found = []
    for other in others:
        if other.pk != plot.pk:
            try:
                joined(plot.outline, other.outline, reach_m=HEDGE_M)
            except ValueError:
                continue
            found.append(other)
    return found


def _named(plots: tuple[Plot, ...]) -> str:
    return " and ".join(f"plot {plot.number}" for plot in plots)


def _new_plot(parting: Parting, which: int) -> NewPlot:
    plot = parting.making[which]
    beds = [size_of(new.plan.name, new.plan.outline) for new in parting.beds if new.which == which]
    beds += [size_of(bed.name, bed.outline) for bed, home in parting.carried if home == which]
    return NewPlot(
        number=plot.number,
        area=area_words(float(plot.area_m2)),
        is_kept=parting.keeper == which,
        beds=tuple(beds),
        standing=tuple(f"{standing_words(row)}." for row, home in parting.standing if home == which),
    )


def _cut_beds(parting: Parting) -> set[str]:
    """Beds of which a part, or nothing, is left on the side where they were."""
    return {
        new.was.name
        for new in parting.beds
        if not math.isclose(polygon(new.plan.outline).area, polygon(new.was.outline).area, rel_tol=1e-4)
    }


def _record_words(parting: Parting) -> str:
    since = parting.making[0].record_since
    if since is None:
        return "The record of this ground has gaps, and stays so."
    if len({plot.record_since for plot in parting.ending}) > 1:
        return f"Their records begin in different years; together they count as complete since {since}."
    return f"The record of this ground goes on; it is complete since {since}."


def _taped(ends: Ends, metres: float, outline: Corners) -> TapedLine:
    adjusted = math.dist(outline[ends[0] - 1], outline[ends[1] - 1])
    return TapedLine(
        f"{ends[0]} to {ends[1]}",
        length_words(metres),
        length_words(adjusted),
        f"{(metres - adjusted) * 100:+.1f} cm",
    )
