"""What is known of some ground beside its crops: events, problems seen, other uses. Nothing here writes."""

from collections.abc import Sequence
from dataclasses import dataclass

from plots.ground_places import lying_on, neighbours
from plots.models import GroundEvent, OtherUse, Plot, Sighting, Site
from plots.outlines import Corners
from plots.placing import overlap_m2
from plots.rotation import Problem, problems


@dataclass(frozen=True, slots=True)
class GroundHistory:
    """What lies on some ground, those withdrawn too, the latest first."""

    events: Sequence[GroundEvent]
    sightings: Sequence[Sighting]
    other_uses: Sequence[OtherUse]


def ground_history(site: Site, outline: Corners) -> GroundHistory:
    """Everything that shares ground with an outline, whichever plot it was entered for. Three queries."""
    links = ("plot__site", "bed", "site")
    return GroundHistory(
        events=lying_on(GroundEvent.objects.filter(site=site).select_related(*links), outline),
        sightings=lying_on(
            Sighting.objects.filter(site=site).select_related(*links, "confirmed_by"), outline
        ),
        other_uses=lying_on(OtherUse.objects.filter(site=site).select_related(*links), outline),
    )


@dataclass(frozen=True, slots=True)
class ToldProblem:
    """A problem that the committee tells the plots beside it of; whose ground it is on is not said."""

    problem: Problem
    is_sure: bool


def problems_told(plots: Sequence[Plot]) -> dict[int, list[ToldProblem]]:
    """What each of these plots is told of, by its key: seen on a plot beside it, never on itself.

    One query, however many plots. A problem seen both for certain and perhaps is told as certain.
    """
    told = Sighting.objects.filter(
        site__in={plot.site_id for plot in plots}, tell_neighbours=True, withdrawn_at__isnull=True
    )
    rows = [row for row in told.select_related("plot") if row.problem in problems()]
    return {plot.pk: _told(plot, [row for row in rows if row.site_id == plot.site_id]) for plot in plots}


def _told(plot: Plot, rows: Sequence[Sighting]) -> list[ToldProblem]:
    near = {other.pk for other in neighbours(plot, {row.plot_id: row.plot for row in rows}.values())}
    found: dict[str, bool] = {}
    for row in rows:
        # Of a plot that was halved or merged since, what was seen lies on the very ground of the new one.
        if row.plot_id in near and not overlap_m2(row.outline, plot.outline):
            found[row.problem] = found.get(row.problem, False) or row.is_sure
    return [ToldProblem(problems()[key], is_sure) for key, is_sure in sorted(found.items())]
