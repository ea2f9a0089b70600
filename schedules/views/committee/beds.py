"""Beds: laid out, changed, closed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from plots.bed_services import bed_change, bed_close, bed_create
from plots.models import Bed, Plot
from plots.placing import first_corner_words
from schedules.committee_forms.ground import BedAddForm, BedChangeForm, EndVersionForm
from schedules.views.committee.desk import Desk, done, form_page, sent, written
from schedules.views.committee.plot_changes import plot_back


@written
def bed_add(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot = get_object_or_404(Plot.objects.select_related("site"), pk=pk)
    form = BedAddForm(sent(request), plot=plot, today=desk.today)
    added = form.call(bed_create, plot=plot, account=desk.account, now=desk.now)
    if added:
        return done(request, f"{_said(added)} is laid out.", reverse("committee-plot", args=[plot.pk]))
    return form_page(
        request,
        form,
        title=f"Lay out a bed on plot {plot.number}",
        button="Lay it out",
        back=plot_back(plot),
        lead=first_corner_words(plot.outline),
    )


@written
def bed_alter(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    bed = _bed(pk)
    form = BedChangeForm(sent(request), bed=bed)
    if form.call(bed_change, bed=bed, account=desk.account, now=desk.now):
        return done(request, "Changed.", reverse("committee-plot", args=[bed.plot.pk]))
    return form_page(
        request,
        form,
        title=f"Change {bed.name} on plot {bed.plot.number}",
        button="Keep this",
        back=plot_back(bed.plot),
        lead="What grows stays where it grows, even where the bed no longer reaches.",
    )


@written
def bed_shut(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    bed = _bed(pk)
    form = EndVersionForm(sent(request), version=bed.version, today=desk.today)
    if form.call(bed_close, bed=bed, account=desk.account, now=desk.now):
        return done(
            request,
            f"{_said(bed)} is closed; its record stays.",
            reverse("committee-plot", args=[bed.plot.pk]),
        )
    title = f"Close {bed.name} on plot {bed.plot.number}"
    return form_page(request, form, title=title, button="Close it", back=plot_back(bed.plot))


def _bed(pk: int) -> Bed:
    return get_object_or_404(Bed.objects.select_related("plot__site"), pk=pk)


def _said(bed: Bed) -> str:
    return f"{bed.name[:1].upper()}{bed.name[1:]}"
