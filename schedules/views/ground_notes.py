"""What was done to the ground of a plot, seen in it and grown on it beside the crops: entered, withdrawn."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from plots.ground_event_services import ground_event_add, ground_event_withdraw
from plots.models import GroundEvent, OtherUse, Patch, Plot
from plots.other_use_services import other_use_add, other_use_withdraw
from plots.selectors import season_of
from plots.sighting_services import sighting_add
from schedules.ground_note_forms import THIS_PIECE, EventForm, OtherUseForm, PlaceForm, SightingForm
from schedules.ground_notes import ground_notes
from schedules.sighting_words import words_beside
from schedules.sowing_ground import BedChoice, bed_choices, shared_from_where
from schedules.views.access import plot_to_plan_for, site_today
from schedules.views.committee.desk import pressed_once
from schedules.views.sow import planner
from schedules.views.units import reading_units
from society import clock
from society.asking import who_asks
from society.permissions import Asker

CAUTIONS = {
    "event": "Lime burns eyes and skin and its dust hurts the lungs: wear gloves and goggles, spread it on a "
    "still day, and never with fresh manure. Wash your hands after manure, and keep fresh manure off ground "
    "whose crops are eaten raw soon. Follow the packet and your society’s own rules.",
    "sighting": "Looks deceive. Leave the plants until somebody of the committee has seen them, "
    "clean boots and tools on the spot, and take nothing of them to the compost. Where the law asks you to "
    "report a pest or disease, the plant health service decides, not this page.",
    "use": "",
}


@dataclass(frozen=True, slots=True)
class _Kind:
    """One thing that can be entered: its form, its service, and the words around it."""

    form: type[PlaceForm]
    add: Callable[..., Any]
    title: str
    lead: str
    said: str
    caution: str


KINDS = {
    "event": _Kind(
        EventForm,
        ground_event_add,
        "What was done to the ground",
        "Manure, lime, a pH reading, shade, fresh mix in a container. Layouts of coming seasons heed fresh "
        "manure and lime; a container filled with fresh mix has no past.",
        "Entered.",
        CAUTIONS["event"],
    ),
    "sighting": _Kind(
        SightingForm,
        sighting_add,
        "A pest or disease of the ground",
        "It makes this ground perhaps unfit for whatever it lives on, and certainly once the committee has "
        "confirmed it. The committee decides whether the plots beside are told, without any name.",
        "Entered. The ground is judged again, and the committee is asked to look.",
        CAUTIONS["sighting"],
    ),
    "use": _Kind(
        OtherUseForm,
        other_use_add,
        "What else grew",
        "Green manures and whatever is no crop of the list count for the rest of their family: mustard is of "
        "the cabbage family, clover of the pea and bean family. Ground that lay fallow rests by itself; "
        "nothing need be entered.",
        "Entered. The ground is judged again.",
        CAUTIONS["use"],
    ),
}


@require_safe
@login_required
def notes(request: HttpRequest, pk: int) -> HttpResponse:
    asker = who_asks(request)
    plot = plot_to_plan_for(asker, pk)
    context = {
        "plot": plot,
        "notes": ground_notes(plot, plot.outline, units=reading_units(asker)),
        "beside": words_beside([plot])[plot.pk],
        "asker": asker,
    }
    return render(request, "schedules/ground_notes.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def note_add(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """The form of one kind; a post enters it. The query names the bed or the patch the reader came from."""
    asker = who_asks(request)
    plot = plot_to_plan_for(asker, pk)
    known = KINDS[kind]
    choices = bed_choices(plot, today=site_today(plot), units=reading_units(asker))
    form = _form(request, asker, plot, known, choices)
    added = form.call(known.add, member=planner(plot, asker), account=asker.account, now=clock.now())
    if added:
        messages.success(request, known.said)
        return redirect("ground-notes", plot.pk)
    context = {"plot": plot, "form": form, "kind": known, "from_where": shared_from_where(choices)}
    return render(request, "schedules/ground_note_add.html", context, status=form.status)


def _form(
    request: HttpRequest, asker: Asker, plot: Plot, kind: _Kind, choices: Sequence[BedChoice]
) -> PlaceForm:
    today = site_today(plot)
    patch = _patch(request.GET, plot)
    where = THIS_PIECE if patch else request.GET.get("bed", "")
    initial: dict[str, Any] = {"on": today, "seen_on": today, "where": where}
    extra = {"present": season_of(plot.site, today)} if kind.form is OtherUseForm else {}
    return kind.form(
        request.POST if request.method == "POST" else None,
        initial=initial,
        plot=plot,
        beds=[each.bed for each in choices if each.bed.since <= today],
        patch=patch,
        units=reading_units(asker),
        **extra,
    )


def _patch(asked: QueryDict, plot: Plot) -> Patch | None:
    key = asked.get("patch", "")
    if not (key.isascii() and key.isdecimal()):
        return None
    return Patch.objects.filter(pk=key, plot=plot).select_related("plot__site", "site", "bed").first()


@require_POST
@login_required
def event_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    event = get_object_or_404(GroundEvent.objects.select_related("site"), pk=pk)
    return _withdrawn(
        request,
        event.plot_id,
        lambda account, now: ground_event_withdraw(event=event, account=account, now=now),
    )


@require_POST
@login_required
def use_withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    use = get_object_or_404(OtherUse.objects.select_related("site"), pk=pk)
    return _withdrawn(
        request, use.plot_id, lambda account, now: other_use_withdraw(use=use, account=account, now=now)
    )


def _withdrawn(request: HttpRequest, plot: int, withdraw: Callable[..., Any]) -> HttpResponse:
    """For those who work the plot, and the committee; to all others the entry is not there."""
    asker = who_asks(request)
    plot_to_plan_for(asker, plot)
    return pressed_once(
        request,
        lambda: withdraw(asker.account, clock.now()),
        "Withdrawn: it counts no more, and is kept below.",
        reverse("ground-notes", args=[plot]),
    )
