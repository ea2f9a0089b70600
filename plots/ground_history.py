"""What is known of some ground beside its crops: events, problems seen, other uses. Nothing here writes."""

from collections.abc import Sequence
from dataclasses import dataclass

from plots.ground_places import lying_on, neighbours
from plots.models import GroundEvent, OtherUse, Plot, Sighting, Site
from plots.outlines import Corners
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


def problems_beside(plot: Plot) -> list[Problem]:
    """The problems that the committee tells this plot of, seen on a plot beside it; whose is not said."""
    told = Sighting.objects.filter(site=plot.site_id, tell_neighbours=True, withdrawn_at__isnull=True)
    rows = list(told.exclude(plot=plot).select_related("plot"))
    near = {other.pk for other in neighbours(plot, {row.plot_id: row.plot for row in rows}.values())}
    keys = sorted({row.problem for row in rows if row.plot_id in near and row.problem in problems()})
    return [problems()[key] for key in keys]
