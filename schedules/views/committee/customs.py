"""The page of the society's own rules for its ground, beside what is published."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from plots.custom_services import customs_row, customs_save
from plots.rotation.customs import FAILED_COUNTS_BECAUSE
from schedules.committee_forms.customs import CustomsForm
from schedules.views.committee.desk import Desk, done, sent, written
from society.selectors import the_society


@written
def customs(request: HttpRequest, desk: Desk) -> HttpResponse:
    """What holds now, to be kept whole; a post judges all ground again."""
    society = the_society()
    if society is None:
        raise Http404("there is no society to have rules")
    form = CustomsForm(sent(request), row=customs_row(society), rests=list(society.rests.all()))
    if form.call(customs_save, society=society, account=desk.account, now=desk.now):
        return done(request, "Kept, and all ground is judged again.", reverse("committee-customs"))
    context = {"form": form, "failed_because": FAILED_COUNTS_BECAUSE}
    return render(request, "schedules/committee/customs.html", context, status=form.status)
