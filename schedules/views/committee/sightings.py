"""Problems of the ground: confirmed, told to the plots beside, withdrawn with a reason."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from plots.ground_selectors import customs_of
from plots.models import Sighting
from plots.rotation import problems
from plots.sighting_selectors import sightings_listed, sightings_to_confirm
from plots.sighting_services import sighting_confirm, sighting_tell, sighting_withdraw
from schedules.committee_forms.entry import EntryForm
from schedules.committee_forms.sightings import SightingButton, SightingWithdrawForm, TellForm
from schedules.ground_notes import seen_words, sighting_line, where_words
from schedules.sighting_words import problem_words
from schedules.views.committee.desk import (
    Desk,
    done,
    form_page,
    looked_at,
    page_of,
    pressed,
    sent,
    site_chosen,
    sites,
    written,
)
from schedules.views.units import reading_units

CHANGED = "Somebody changed this while you had the page open, and nothing was done. Look at it again."


@looked_at
def sightings(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Forty to a page: what waits for the committee first."""
    known = sites()
    site = site_chosen(request, known)
    context: dict[str, object] = {"sites": known, "site": site}
    if site is not None:
        page, customs = page_of(request, sightings_listed(site)), customs_of(site.society)
        units = reading_units(desk.asker)
        context |= {
            "page": page,
            "waiting": sightings_to_confirm(site),
            "lines": [
                sighting_line(row, problem_words(problems()[row.problem], customs), where_words(row, units))
                for row in page.object_list
                if row.problem in problems()
            ],
        }
    return render(request, "schedules/committee/sightings.html", context)


@pressed
def confirm(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    row = _sighting(pk)
    return _pressed(
        request, row, SightingButton(request.POST), sighting_confirm,
        "Confirmed. It counts for certain, and the ground is judged again.",
        member=next(iter(desk.asker.members), None), account=desk.account, now=desk.now,
    )  # fmt: skip


@pressed
def tell(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    row, form = _sighting(pk), TellForm(request.POST)
    said = (
        "The plots beside are told"
        if request.POST.get("tell") == "yes"
        else "The plots beside are told no more"
    )
    return _pressed(
        request, row, form, sighting_tell, f"{said}. No person and no plot is named.",
        account=desk.account, now=desk.now,
    )  # fmt: skip


@written
def withdraw(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    row = _sighting(pk)
    form = SightingWithdrawForm(sent(request), version=row.version)
    if form.call(sighting_withdraw, sighting=row, account=desk.account, now=desk.now):
        return done(request, "Withdrawn. It is kept, and the ground is judged again.", _list(row))
    return form_page(
        request,
        form,
        title=f"Withdraw: {seen_words(row)}",
        button="Withdraw it",
        back=(_list(row), "Back to what was seen"),
        lead=f"On {where_words(row, reading_units(desk.asker))} of plot {row.plot.number}.",
        caution="Ground where a problem lives on does not get well by forgetting it.",
    )


def _pressed(
    request: HttpRequest, row: Sighting, form: EntryForm, service: Callable[..., Any], said: str, **known: Any
) -> HttpResponse:
    """Do what one button asks for; what is refused is said on the list that it stands in."""
    if form.call(service, sighting=row, **known):
        return done(request, said, _list(row))
    faults = [str(each) for errors in form.errors.values() for each in errors]
    messages.warning(request, CHANGED if form.stale is not None else " ".join(faults))
    return redirect(_list(row))


def _sighting(pk: int) -> Sighting:
    return get_object_or_404(Sighting.objects.select_related("plot", "bed", "site"), pk=pk)


def _list(row: Sighting) -> str:
    return f"{reverse('committee-sightings')}?site={row.site.slug}"
