"""The weather of a site, and the form on which its members type in what they read."""

from collections.abc import Sequence

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from plots.changes import local_day
from plots.models import Site
from plots.workers import sites_worked
from schedules.reading_forms import ReadingForm
from schedules.reading_services import readings_take
from schedules.views.units import reading_units
from schedules.weather_page import weather_page
from society import clock
from society.asking import who_asks
from society.permissions import can_enter_reading


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def weather(request: HttpRequest) -> HttpResponse:
    """The last fortnight and what the site's dates rest on; a post keeps the readings of one day."""
    asker, now = who_asks(request), clock.now()
    known = list(Site.objects.order_by("name", "pk"))
    worked = sites_worked(asker.members, on=asker.on)
    site = _chosen(request, known, worked)
    may_enter = site is not None and can_enter_reading(asker, works_there=site.pk in worked)
    if request.method == "POST" and not may_enter:
        raise Http404("reading: no site whose instruments the account may read")
    if site is None:
        return render(request, "schedules/weather.html", {"sites": known, "site": None})
    today, units = local_day(site, now), reading_units(asker)
    form = ReadingForm(request.POST if request.method == "POST" else None, units=units, today=today)
    kept = form.call(
        readings_take,
        site=site,
        member=asker.members[0] if asker.members else None,
        account=asker.account,
        now=now,
    )
    if kept:
        messages.success(request, _said(len(kept)))
        return redirect(f"{reverse('weather')}?site={site.slug}")
    context = {
        "sites": known,
        "site": site,
        "page": weather_page(site, today=today, asker=asker, units=units),
        "form": form if may_enter else None,
        "asker": asker,
    }
    return render(request, "schedules/weather.html", context, status=form.status)


def _said(count: int) -> str:
    kept = "One reading is kept" if count == 1 else f"{count} readings are kept"
    return f"{kept}, and the dates of the site are worked out again."


def _chosen(request: HttpRequest, known: Sequence[Site], worked: frozenset[int]) -> Site | None:
    """The site that the address names, else the first on which the asker works, else the first."""
    slug = request.GET.get("site", "")
    if not slug:
        return next((site for site in known if site.pk in worked), known[0] if known else None)
    for site in known:
        if site.slug == slug:
            return site
    raise Http404("site: no site of that name")
