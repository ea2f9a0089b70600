"""The page on which members say which letters they want."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from society import clock
from society.asking import who_asks
from society.forms import LettersWantedForm
from society.models import Member
from society.permissions import Asker, can_set_letters
from society.preference_services import letters_wanted_save
from society.selectors import preferences_of, seated


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def letters_wanted(request: HttpRequest) -> HttpResponse:
    """One form for each member that the account acts for; a post saves one of them."""
    asker = who_asks(request)
    if request.method != "POST":
        return _page(request, asker, None)
    member = _member(request, asker)
    form = LettersWantedForm(
        request.POST,
        member=member,
        wishes=preferences_of([member])[member.pk],
        is_seated=member.pk in seated([member], on=asker.on),
    )
    if not form.is_valid():
        return _page(request, asker, form)
    letters_wanted_save(
        member=member,
        units=form.cleaned_data["units"],
        account=asker.account,
        now=clock.now(),
        **form.wishes,
    )
    messages.success(request, f"Kept: how {member.name} gets letters.")
    return redirect("letters-wanted")


def _member(request: HttpRequest, asker: Asker) -> Member:
    written = request.POST.get("member", "")
    for member in asker.members:
        if str(member.pk) == written and can_set_letters(asker, member_id=member.pk):
            return member
    raise Http404("member: the account does not act for them")


def _page(request: HttpRequest, asker: Asker, faulty: LettersWantedForm | None) -> HttpResponse:
    wishes, on_committee = preferences_of(asker.members), seated(asker.members, on=asker.on)
    forms = [
        faulty
        if faulty is not None and faulty.member.pk == member.pk
        else LettersWantedForm(member=member, wishes=wishes[member.pk], is_seated=member.pk in on_committee)
        for member in asker.members
    ]
    context = {"forms": forms, "asker": asker}
    return render(request, "society/letters_wanted.html", context, status=422 if faulty else 200)
