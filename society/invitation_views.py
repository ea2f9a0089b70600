"""The door that an invitation's link opens. Looking changes nothing; the button does."""

from django.contrib import messages
from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from society import clock
from society.account_forms import InvitationForm
from society.asking import house_today
from society.invitation_services import InvitationClosed, invitation_accept
from society.invitation_tokens import invitation_of
from society.models import Account, Invitation
from society.selectors import account_of_address


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@sensitive_post_parameters("password1", "password2")
def invitation(request: HttpRequest, token: str) -> HttpResponse:
    found = invitation_of(token)
    if found is None:
        return render(request, "society/invitation_gone.html", {"invitation": None}, status=404)
    if not (found.is_open(clock.now()) and found.member.is_active):
        return _gone(request, found)
    try:
        return _open(request, found)
    except InvitationClosed:  # somebody else was quicker
        return _gone(request, found)


def _open(request: HttpRequest, found: Invitation) -> HttpResponse:
    if request.user.is_authenticated:
        return _taken_up(request, found, request.user) if request.method == "POST" else _page(request, found)
    if account_of_address(found.email) is not None:
        return _page(request, found, has_account=True)
    form = InvitationForm(Account(email=found.email), request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        return _taken_up(request, found, None, form.cleaned_data["password1"])
    return _page(request, found, form=form)


def _taken_up(
    request: HttpRequest, found: Invitation, account: Account | None, password: str = ""
) -> HttpResponse:
    acting = invitation_accept(
        invitation=found, account=account, password=password, now=clock.now(), today=house_today()
    )
    if account is None:
        login(request, acting)
    messages.success(request, f"Your log-in now acts for {found.member.name}.")
    return redirect("this-week")


def _page(
    request: HttpRequest, found: Invitation, *, form: InvitationForm | None = None, has_account: bool = False
) -> HttpResponse:
    context = {"invitation": found, "form": form, "has_account": has_account}
    faulty = form is not None and form.is_bound
    return render(request, "society/invitation.html", context, status=422 if faulty else 200)


def _gone(request: HttpRequest, found: Invitation) -> HttpResponse:
    return render(request, "society/invitation_gone.html", {"invitation": found}, status=410)
