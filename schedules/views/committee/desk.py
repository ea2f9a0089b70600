"""The committee's desk: who may sit at it, and what its pages have in common."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import wraps
from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.core.paginator import Page, Paginator
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from plots.models import Site
from schedules.committee_forms.entry import EntryForm
from society import clock
from society.asking import who_asks
from society.models import Account
from society.permissions import Asker, can_run_society

A_PAGE = 40

View = Callable[..., HttpResponse]


@dataclass(frozen=True, slots=True)
class Desk:
    """Who sits at it, and the day and instant on which they do."""

    asker: Asker
    now: datetime

    @property
    def account(self) -> Account:
        return self.asker.account

    @property
    def today(self) -> date:
        return self.asker.on


def _door(*methods: str) -> Callable[[View], View]:
    def with_door(view: View) -> View:
        @require_http_methods(methods)
        @login_required
        @wraps(view)
        def door(request: HttpRequest, **named: Any) -> HttpResponse:
            asker = who_asks(request)
            if not can_run_society(asker):
                raise Http404("the committee's book is the committee's")
            return view(request, Desk(asker, clock.now()), **named)

        return door

    return with_door


looked_at = _door("GET", "HEAD")
written = _door("GET", "HEAD", "POST")
pressed = _door("POST")


def sent(request: HttpRequest) -> QueryDict | None:
    """What a form is bound to: nothing while it is only looked at."""
    return request.POST if request.method == "POST" else None


def form_page(
    request: HttpRequest,
    form: EntryForm,
    *,
    title: str,
    button: str,
    back: tuple[str, str],
    lead: str = "",
    caution: str = "",
) -> HttpResponse:
    """A page with one form; ``back`` is an address and the words that lead there."""
    context = {
        "form": form, "title": title, "button": button, "back_url": back[0], "back_words": back[1],
        "lead": lead, "caution": caution,
    }  # fmt: skip
    return render(request, "schedules/committee/form.html", context, status=form.status)


def done(request: HttpRequest, said: str, url: str) -> HttpResponse:
    messages.success(request, said)
    return redirect(url)


def pressed_once(request: HttpRequest, work: Callable[[], Any], said: str, url: str) -> HttpResponse:
    """Do what a single button asks for; what is refused is said on the page it came from."""
    try:
        work()
    except ValidationError as fault:
        messages.warning(request, " ".join(f"{text[:1].upper()}{text[1:]}." for text in fault.messages))
        return redirect(url)
    return done(request, said, url)


def page_of(request: HttpRequest, rows: Any) -> Page[Any]:
    """Forty to a page; a number that is no page leads to the nearest one."""
    return Paginator(rows, A_PAGE).get_page(request.GET.get("page"))


def sites() -> Sequence[Site]:
    return list(Site.objects.order_by("name", "pk"))


def site_chosen(request: HttpRequest, known: Sequence[Site]) -> Site | None:
    """The site that the address names, else the first; None where none is entered yet."""
    slug = request.GET.get("site", "")
    if not slug:
        return known[0] if known else None
    for site in known:
        if site.slug == slug:
            return site
    raise Http404("site: no site of that name")
