"""The plots of a site and who holds them."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from plots.holding_selectors import plot_holding, plot_lines_of, plots_counted, plots_on, vacant_plots
from plots.models import Plot
from plots.plot_lineage import former_plots, later_plots
from plots.selectors import season_of
from schedules.committee_selectors import plot_sheet
from schedules.views.committee.desk import Desk, looked_at, page_of, site_chosen, sites


@looked_at
def plots(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Every plot of a site, or the vacant ones; forty to a page."""
    known = sites()
    site = site_chosen(request, known)
    vacant = request.GET.get("vacant") == "yes"
    context: dict[str, object] = {"sites": known, "site": site, "vacant": vacant}
    if site is not None:
        chosen = vacant_plots(site, on=desk.today) if vacant else plots_on(site, on=desk.today)
        page = page_of(request, plots_counted(chosen, season=season_of(site, desk.today)))
        context |= {
            "page": page,
            "lines": plot_lines_of(page.object_list, on=desk.today),
            "vacant_count": vacant_plots(site, on=desk.today).count(),
        }
    return render(request, "schedules/committee/plots.html", context)


@looked_at
def plot(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    found = get_object_or_404(Plot.objects.select_related("site"), pk=pk)
    holding = plot_holding(found, on=desk.today)
    context = {
        "holding": holding, "sheet": plot_sheet(holding), "asker": desk.asker,
        "former": former_plots(found), "later": _lasting(later_plots(found)),
    }  # fmt: skip
    return render(request, "schedules/committee/plot.html", context)


def _lasting(plots: list[Plot]) -> list[Plot]:
    """Those not divided anew themselves since; all of them where none is left."""
    return [plot for plot in plots if plot.given_up_on is None] or plots
