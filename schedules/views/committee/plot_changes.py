"""Laying out plots, correcting them, giving them up."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from plots.models import Plot
from plots.plot_services import plot_create, plot_give_up, plot_update
from schedules.committee_forms.ground import EndVersionForm, PlotChangeForm, PlotForm
from schedules.views.committee.desk import Desk, done, form_page, sent, site_chosen, sites, written


@written
def plot_add(request: HttpRequest, desk: Desk) -> HttpResponse:
    site = site_chosen(request, sites())
    if site is None:
        raise Http404("there is no site to lay a plot out on")
    form = PlotForm(sent(request), today=desk.today)
    added = form.call(plot_create, site=site, account=desk.account, now=desk.now)
    if added:
        return done(request, f"Plot {added.number} is laid out.", reverse("committee-plot", args=[added.pk]))
    return form_page(
        request,
        form,
        title=f"Lay out a plot on {site.name}",
        button="Lay it out",
        back=(f"{reverse('committee-plots')}?site={site.slug}", "Back to the plots"),
        lead="Its area comes from its outline. Plots must not overlap by more than a hedge’s breadth.",
    )


@written
def plot_change(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot = _plot(pk)
    form = PlotChangeForm(sent(request), plot=plot)
    if form.call(plot_update, plot=plot, account=desk.account, now=desk.now):
        return done(request, "Corrected.", reverse("committee-plot", args=[plot.pk]))
    return form_page(
        request, form, title=f"Correct plot {plot.number}", button="Keep this", back=plot_back(plot)
    )


@written
def plot_close(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot = _plot(pk)
    form = EndVersionForm(sent(request), version=plot.version, today=desk.today)
    if form.call(plot_give_up, plot=plot, account=desk.account, now=desk.now):
        return done(
            request,
            f"Plot {plot.number} is given up; its record stays.",
            reverse("committee-plot", args=[plot.pk]),
        )
    return form_page(
        request,
        form,
        title=f"Give up the land of plot {plot.number}",
        button="Give it up",
        back=plot_back(plot),
        lead="Its beds close on that day. What was grown there stays on record and counts for later plots on "
        "the same ground.",
    )


def plot_back(plot: Plot) -> tuple[str, str]:
    return reverse("committee-plot", args=[plot.pk]), f"Back to plot {plot.number}"


def _plot(pk: int) -> Plot:
    return get_object_or_404(Plot.objects.select_related("site"), pk=pk)
