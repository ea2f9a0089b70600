"""The site itself: entered, corrected, and its weather read in from a file."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from plots.models import Site, Sowing
from plots.site_services import site_create
from schedules.committee_forms.site import SiteChangeForm, SiteForm, WeatherFileForm
from schedules.plan_services import site_replan
from schedules.site_changes import site_correct
from schedules.views.committee.desk import Desk, done, sent, site_chosen, sites, written
from schedules.weather_file_page import FilePreview, weather_file_taken
from society.selectors import the_society
from society.zones import zone_names


@written
def site(request: HttpRequest, desk: Desk) -> HttpResponse:
    """What the book says of a site, to be corrected where it lies."""
    known = sites()
    chosen = site_chosen(request, known)
    if chosen is None:
        return redirect("committee-site-add")
    stays = Sowing.objects.filter(patch__site=chosen).exists()
    form = SiteChangeForm(sent(request), site=chosen, season_stays=stays)
    if form.call(site_correct, site=chosen, account=desk.account, now=desk.now):
        return done(request, "Corrected. The dates are worked out again.", _address(chosen))
    return _with_zones(request, form, sites=known, site=chosen, title=f"The site {chosen.name}")


@written
def site_add(request: HttpRequest, desk: Desk) -> HttpResponse:
    society = the_society()
    if society is None:
        raise Http404("there is no society to have a site")
    form = SiteForm(sent(request), zone=society.zone)
    added = form.call(site_create, society=society, account=desk.account, now=desk.now)
    if added:
        return done(request, f"{added.name} is entered. Read its weather in next.", _address(added))
    return _with_zones(request, form, title="Enter a site")


@written
def weather_file(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Look at a weather file first; keep all of it, or nothing."""
    chosen = site_chosen(request, sites())
    if chosen is None:
        raise Http404("there is no site to read weather in for")
    form = WeatherFileForm(sent(request), request.FILES or None)
    preview: FilePreview | None = None
    if form.is_bound and form.is_valid():
        keeps = "keep" in request.POST
        preview = weather_file_taken(
            site=chosen,
            text=form.cleaned_data["text"],
            now=desk.now,
            keeps=keeps,
            unit_is_right=form.cleaned_data["unit_is_right"],
        )
        if preview.outcome.is_saved:
            site_replan(site=chosen, now=desk.now)
            return done(request, preview.saved_words, _address(chosen))
    refused = form.status != 200 or (preview is not None and not preview.is_good)
    context = {"form": form, "preview": preview, "site": chosen, "back_url": _address(chosen)}
    return render(request, "schedules/committee/weather_file.html", context, status=422 if refused else 200)


def _with_zones(request: HttpRequest, form: SiteForm, **named: Any) -> HttpResponse:
    context = {
        "form": form,
        "button": "Keep this",
        "zones": sorted(name for name in zone_names() if "/" in name and not name.startswith("Etc/")),
        "back_url": reverse("committee"),
        "back_words": "Back to the book",
        **named,
    }
    return render(request, "schedules/committee/site.html", context, status=form.status)


def _address(site: Site) -> str:
    return f"{reverse('committee-site')}?site={site.slug}"
