"""The same land under other numbers: plots are halved and merged, and the record of the ground goes on.

What was where is told by outlines alone. Nothing here writes.
"""

from collections.abc import Iterable
from datetime import date

from django.db.models import Q

from plots.models import Bed, Plot, Sowing
from plots.natural_sorting import Naturally
from plots.outlines import polygon
from plots.placing import overlap_m2
from plots.selectors import season_of

# Neighbours measured from hedge to hedge share slivers; land that was the other plot's is more than that.
SHARED_M2 = 1.0


def former_plots(plot: Plot) -> list[Plot]:
    """Plots given up by the day this one was laid out, of whose land it has some. One query."""
    rows = Plot.objects.filter(site=plot.site_id, given_up_on__lte=plot.laid_out_on)
    return _sharing(plot, rows.exclude(pk=plot.pk).order_by("-given_up_on", Naturally("number")))


def later_plots(plot: Plot) -> list[Plot]:
    """Plots that have some of this one's land since it was given up. One query, or none."""
    if plot.given_up_on is None:
        return []
    rows = Plot.objects.filter(site=plot.site_id, laid_out_on__gte=plot.given_up_on)
    return _sharing(plot, rows.exclude(pk=plot.pk).order_by("laid_out_on", Naturally("number")))


def record_of_plot(plot: Plot) -> list[Sowing]:
    """Everything on record on a plot's land, whatever number it had, the oldest first. Two or three queries.

    Of a plot given up: what was entered for it, and what was sown in its days and counts for a later one.
    """
    of_plots = Q(patch__plot=plot) | Q(patch__plot__in=former_plots(plot))
    later = later_plots(plot)
    if later:
        of_plots |= Q(patch__plot__in=later, sown_on__lt=plot.given_up_on)
    rows = Sowing.objects.filter(of_plots).select_related("patch__plot", "patch__bed", "verdict")
    return [
        row
        for row in rows.order_by("season", "pk")
        if row.patch.plot_id == plot.pk or overlap_m2(plot.outline, row.patch.outline)
    ]


def beds_on_land(plot: Plot, *, begins: date, ends: date) -> list[Bed]:
    """Beds that lasted within some days; before the plot was laid out, those of its land's former plots."""
    lasted = Q(since__lt=ends) & (Q(until__isnull=True) | Q(until__gt=begins))
    beds = list(plot.beds.filter(lasted))
    if season_of(plot.site, plot.laid_out_on) <= season_of(plot.site, begins):
        return beds
    rows = Bed.objects.filter(lasted, plot__in=former_plots(plot)).select_related("plot__site")
    return [*beds, *(bed for bed in rows if overlap_m2(plot.outline, bed.outline))]


def _sharing(plot: Plot, rows: Iterable[Plot]) -> list[Plot]:
    shape = polygon(plot.outline)
    return [row for row in rows if shape.intersection(polygon(row.outline)).area > SHARED_M2]
