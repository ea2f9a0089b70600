"""Being away, and standing in for others."""

from collections.abc import Callable

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from schedules.absence_services import (
    AbsenceSettled,
    absence_accept,
    absence_ask,
    absence_decline,
    absence_end,
)
from schedules.away_forms import AwayForm
from society import clock
from society.absence_selectors import absences_ahead, asked_of
from society.asking import who_asks
from society.models import Absence, Member
from society.permissions import Asker, can_answer_stand_in, can_ask_stand_in, can_end_stand_in

SETTLED = "That was settled meanwhile; the page shows how it stands now."


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def away(request: HttpRequest) -> HttpResponse:
    """What is agreed and asked for every member that the account acts for; a post asks for one of them."""
    asker = who_asks(request)
    if request.method != "POST":
        return _page(request, asker, None)
    form = AwayForm(request.POST, member=_asking(request, asker), today=asker.on)
    if form.is_valid():
        try:
            absence_ask(
                member=form.member,
                **form.cleaned_data,
                account=asker.account,
                now=clock.now(),
                today=asker.on,
            )
        except ValidationError as faults:
            form.add_error(None, faults)
        else:
            messages.success(request, f"{form.cleaned_data['stand_in'].name} is asked by letter.")
            return redirect("away")
    return _page(request, asker, form)


@require_POST
@login_required
def accept(request: HttpRequest, pk: int) -> HttpResponse:
    return _answered(request, pk, absence_accept, "Agreed: the letters come to you on those days.")


@require_POST
@login_required
def decline(request: HttpRequest, pk: int) -> HttpResponse:
    return _answered(request, pk, absence_decline, "Declined, and a letter says so.")


@require_POST
@login_required
def end(request: HttpRequest, pk: int) -> HttpResponse:
    asker = who_asks(request)
    absence = _absence(pk)
    if not can_end_stand_in(asker, member_id=absence.member_id, stand_in_id=absence.stand_in_id):
        raise Http404
    return _settled(request, asker, absence, absence_end, "Ended: the letters go where they went before.")


def _answered(request: HttpRequest, pk: int, service: Callable[..., Absence], said: str) -> HttpResponse:
    asker = who_asks(request)
    absence = _absence(pk)
    if not can_answer_stand_in(asker, stand_in_id=absence.stand_in_id):
        raise Http404
    return _settled(request, asker, absence, service, said)


def _settled(
    request: HttpRequest, asker: Asker, absence: Absence, service: Callable[..., Absence], said: str
) -> HttpResponse:
    try:
        service(absence=absence, account=asker.account, now=clock.now(), today=asker.on)
    except AbsenceSettled:
        messages.warning(request, SETTLED)
    except ValidationError as fault:
        messages.warning(request, " ".join(fault.messages))
    else:
        messages.success(request, said)
    return redirect("away")


def _absence(pk: int) -> Absence:
    return get_object_or_404(Absence.objects.select_related("member", "stand_in"), pk=pk)


def _asking(request: HttpRequest, asker: Asker) -> Member:
    written = request.POST.get("member", "")
    for member in asker.members:
        if str(member.pk) == written and can_ask_stand_in(asker, member_id=member.pk):
            return member
    raise Http404("member: the account does not act for them")


def _page(request: HttpRequest, asker: Asker, faulty: AwayForm | None) -> HttpResponse:
    ahead = list(absences_ahead(asker.members, on=asker.on))
    entries = [
        {
            "member": member,
            "absences": [absence for absence in ahead if absence.member_id == member.pk],
            "form": faulty
            if faulty is not None and faulty.member.pk == member.pk
            else AwayForm(member=member, today=asker.on),
        }
        for member in asker.members
    ]
    context = {"entries": entries, "asked": asked_of(asker.members, on=asker.on), "asker": asker}
    return render(request, "schedules/away.html", context, status=422 if faulty else 200)
