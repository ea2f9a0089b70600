"""Beds corrected and closed."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from plots.bed_services import bed_change, bed_close
from plots.models import Bed
from schedules.committee_forms.ground import BedChangeForm, EndVersionForm
from schedules.views.committee.desk import Desk, done, form_page, sent, written


@written
def bed_alter(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    bed = _bed(pk)
    form = BedChangeForm(sent(request), bed=bed)
    if form.call(bed_change, bed=bed, account=desk.account, now=desk.now):
        return done(request, "Changed.", reverse("committee-bed", args=[bed.pk]))
    return form_page(
        request,
        form,
        title=f"Correct {bed.name} on plot {bed.plot.number}",
        button="Keep it all the same" if form.has_asked else "Keep this",
        back=bed_back(bed),
        lead="Corners are for a bed that was entered wrong. One that is really moved or dug anew is closed "
        "and laid out again; its page has ways for that. What grows stays where it grows.",
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
    return form_page(request, form, title=title, button="Close it", back=bed_back(bed))


def bed_back(bed: Bed) -> tuple[str, str]:
    return reverse("committee-bed", args=[bed.pk]), f"Back to {bed.name}"


def _bed(pk: int) -> Bed:
    return get_object_or_404(Bed.objects.select_related("plot__site"), pk=pk)


def _said(bed: Bed) -> str:
    return f"{bed.name[:1].upper()}{bed.name[1:]}"
