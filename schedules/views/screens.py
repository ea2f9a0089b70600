"""The committee's page of screens: which there are, pairing one by its code, turning one off."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST

from plots.models import Site
from schedules.models import Screen
from schedules.pairing_limits import may_try, wrong_code
from schedules.pairing_services import CodeNotFound, pairing_agree
from schedules.screen_forms import PairForm
from schedules.screens import screen_revoke, screens_in_use
from schedules.wording import ago_words
from society import clock
from society.asking import who_asks
from society.permissions import Asker, can_manage_screens
from society.zones import zone

NOT_FOUND = (
    "Code: no screen waits with this code. It may be mistyped, or its ten minutes are over and the screen "
    "shows a new one by now."
)
TOO_MANY = "Too many codes were tried. Wait an hour, then type the code that the screen shows by then."


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def screens(request: HttpRequest) -> HttpResponse:
    """The list, and the form; a post pairs."""
    asker = _committee(request)
    sites = list(Site.objects.order_by("name", "pk"))
    if request.method != "POST":
        return _page(request, sites, PairForm(sites=sites))
    if not may_try(asker.account.pk):
        form = PairForm(sites=sites, initial=request.POST.dict())
        return _page(request, sites, form, refusal=TOO_MANY, status=429)
    form = PairForm(request.POST, sites=sites)
    if not form.is_valid():
        return _page(request, sites, form, status=422)
    try:
        made = pairing_agree(
            code=form.cleaned_data["code"],
            site=form.site_chosen,
            name=form.cleaned_data["name"],
            now=clock.now(),
            account=asker.account,
        )
    except CodeNotFound:
        wrong_code(asker.account.pk)
        form.add_error("code", NOT_FOUND)
        return _page(request, sites, form, status=422)
    messages.success(request, f"Paired: {made.name} shows the week of {made.site.name} in a few seconds.")
    return redirect("screens")


@require_POST
@login_required
def revoke(request: HttpRequest, pk: int) -> HttpResponse:
    asker = _committee(request)
    screen = get_object_or_404(Screen, pk=pk)
    screen_revoke(screen=screen, now=clock.now(), account=asker.account)
    messages.success(request, f"Turned off: {screen.name} reads nothing more. To use it again, pair it anew.")
    return redirect("screens")


def _committee(request: HttpRequest) -> Asker:
    asker = who_asks(request)
    if not can_manage_screens(asker):
        raise Http404
    return asker


def _page(
    request: HttpRequest, sites: list[Site], form: PairForm, *, refusal: str = "", status: int = 200
) -> HttpResponse:
    now = clock.now()
    entries = [
        {
            "screen": screen,
            "seen": ago_words(screen.last_seen_at, now=now, zone=zone(screen.site.zone))
            if screen.last_seen_at
            else "",
        }
        for screen in screens_in_use()
    ]
    context = {
        "entries": entries,
        "form": form,
        "sites": sites,
        "refusal": refusal,
        "screen_address": request.build_absolute_uri(reverse("screen")),
    }
    return render(request, "schedules/screens.html", context, status=status)
