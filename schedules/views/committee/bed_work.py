"""Work on beds: looked at on a drawing first, kept when the very same wish is sent again."""

from datetime import date

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from plots.bed_digging import beds_dig
from plots.bed_drafts import Digging
from plots.carrying import container_carry
from plots.models import Bed, BedKind, Plot
from plots.placing import first_corner_words
from schedules.bed_sheets import bed_sheet, beds_now, beds_open, digging_sheet
from schedules.committee_forms.bed_laying import BedAddForm, BedRowForm, BedsAgainForm
from schedules.committee_forms.bed_shaping import BedJoinForm, BedMoveForm, BedReshapeForm, BedSplitForm
from schedules.committee_forms.bed_work import BedWork
from schedules.views.committee.desk import Desk, done, form_page, looked_at, sent, written
from schedules.views.committee.plot_changes import plot_back

STAYS = "What is on record stays on its ground, and what grows stays where it grows."


@looked_at
def bed(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    """One bed: where it lies, what its ground carried, and what can be done with it."""
    found = _bed(pk)
    context = {"sheet": bed_sheet(found, on=desk.today), "bed": found, "plot": found.plot}
    return render(request, "schedules/committee/bed.html", context)


@written
def bed_add(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot, beds = _plot_and_beds(pk, desk.today)
    form = BedAddForm(sent(request), plot=plot, today=desk.today, taken=[bed.name for bed in beds])
    return _work(
        request, desk, form, beds,
        title=f"Lay out a bed on plot {plot.number}", button="Lay it out",
        lead="You see it drawn before it is kept.",
    )  # fmt: skip


@written
def bed_row(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot, beds = _plot_and_beds(pk, desk.today)
    form = BedRowForm(sent(request), plot=plot, today=desk.today, taken=[bed.name for bed in beds])
    return _work(
        request, desk, form, beds,
        title=f"Lay out a row of beds on plot {plot.number}", button="Lay them out",
        lead="You see them drawn before they are kept.",
    )  # fmt: skip


@written
def beds_again(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot, beds = _plot_and_beds(pk, desk.today)
    form = BedsAgainForm(sent(request), plot=plot, beds=beds, today=desk.today)
    return _work(
        request, desk, form, beds,
        title=f"Dig beds of plot {plot.number} over and lay others out", button="Close the old, lay the new",
        lead=STAYS,
    )  # fmt: skip


@written
def bed_move(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    found, beds = _bed_and_beds(pk, desk.today)
    form = BedMoveForm(sent(request), bed=found, today=desk.today)
    if found.kind == BedKind.CONTAINER:
        return _carried(request, desk, form)
    return _work(
        request, desk, form, beds,
        title=f"Move or turn {found.name} on plot {found.plot.number}", button="Move it",
        lead=f"The old bed is closed and another of its name laid out. {STAYS}",
    )  # fmt: skip


@written
def bed_reshape(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    found, beds = _bed_and_beds(pk, desk.today)
    form = BedReshapeForm(sent(request), bed=found, today=desk.today)
    return _work(
        request, desk, form, beds,
        title=f"Give {found.name} on plot {found.plot.number} another shape", button="Reshape it",
        lead=f"The old bed is closed and another of its name laid out. {STAYS}",
    )  # fmt: skip


@written
def bed_split(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    found, beds = _bed_and_beds(pk, desk.today)
    form = BedSplitForm(sent(request), bed=found, today=desk.today)
    size = bed_sheet(found, on=desk.today)
    return _work(
        request, desk, form, beds,
        title=f"Split {found.name} on plot {found.plot.number}", button="Split it",
        lead=f"It is {size.length_words} long. {STAYS}",
    )  # fmt: skip


@written
def bed_join(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    found, beds = _bed_and_beds(pk, desk.today)
    form = BedJoinForm(sent(request), bed=found, beds=beds, today=desk.today)
    return _work(
        request, desk, form, beds,
        title=f"Join {found.name} on plot {found.plot.number} with another bed", button="Join them",
        lead=f"Both are closed and one is laid out. {STAYS}",
    )  # fmt: skip


def _work(
    request: HttpRequest, desk: Desk, form: BedWork, beds: list[Bed], *, title: str, button: str, lead: str
) -> HttpResponse:
    """Draw the wish; do it once it was seen as it is."""
    plot = form.plot
    digging = form.drafted(desk.now)
    if digging is not None and "keep" in request.POST:
        if request.POST.get("seen") != digging.mark:
            form.is_other_than_looked_at = True
        elif _dug(form, digging, desk):
            return done(request, _done_words(digging), reverse("committee-plot", args=[plot.pk]))
        else:
            digging = None
    back_url, back_words = plot_back(plot)
    context = {
        "form": form, "title": title, "button": button, "lead": lead, "back_url": back_url,
        "back_words": back_words, "digging": digging, "said": form.said() if digging else "",
        "sheet": digging_sheet(digging, beds) if digging else None,
        "drawing": "" if digging else beds_now(plot, beds, about=form.closing_now, wished=form.wished),
        "first_corner": first_corner_words(plot.outline),
    }  # fmt: skip
    return render(request, "schedules/committee/bed_work.html", context, status=form.status)


def _dug(form: BedWork, digging: Digging, desk: Desk) -> bool:
    try:
        beds_dig(
            plot=form.plot,
            closing=digging.closing,
            plans=form.plans(),
            on=digging.on,
            action=form.action,
            versions={bed.pk: bed.version for bed in digging.closing},
            standing_seen=[row.pk for row in digging.standing],
            account=desk.account,
            now=desk.now,
        )
    except ValidationError as fault:
        form.refuse(fault)
        return False
    return True


def _carried(request: HttpRequest, desk: Desk, form: BedMoveForm) -> HttpResponse:
    """A container moves with its mix, and with what grew in it."""
    bed = form.bed
    form.fields.pop("on")
    if form.is_bound and form.is_valid():
        try:
            container_carry(
                bed=bed, carry=form.carry, version=bed.version, account=desk.account, now=desk.now
            )
        except ValidationError as fault:
            form.refuse(fault)
        else:
            return done(request, "Moved, with its mix.", reverse("committee-plot", args=[bed.plot_id]))
    return form_page(
        request, form, title=f"Move or turn {bed.name} on plot {bed.plot.number}", button="Move it",
        back=plot_back(bed.plot),
        lead="A container moves with its mix: what grows in it, and what grew in it, goes along.",
        caution="Wet mix is heavy. Empty the container first, or move it with somebody’s help.",
    )  # fmt: skip


def _done_words(digging: Digging) -> str:
    closed = f"Closed: {', '.join(bed.name for bed in digging.closing)}. " if digging.closing else ""
    return f"{closed}Laid out: {', '.join(bed.name for bed in digging.laying)}."


def _bed(pk: int) -> Bed:
    return get_object_or_404(Bed.objects.select_related("plot__site"), pk=pk)


def _bed_and_beds(pk: int, on: date) -> tuple[Bed, list[Bed]]:
    found = _bed(pk)
    return found, beds_open(found.plot, on=on)


def _plot_and_beds(pk: int, on: date) -> tuple[Plot, list[Bed]]:
    plot = get_object_or_404(Plot.objects.select_related("site"), pk=pk)
    return plot, beds_open(plot, on=on)
