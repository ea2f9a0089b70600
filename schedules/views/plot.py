"""One plot, drawn and in words."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from plots.models import Plot
from plots.selectors import season_of
from schedules.plot_page import plot_page
from schedules.sighting_words import words_beside
from schedules.views.access import plot_for, site_today
from society.asking import who_asks

SEASONS_EITHER_WAY = 50


@require_safe
@login_required
def plot(request: HttpRequest, pk: int) -> HttpResponse:
    found = plot_for(who_asks(request), pk)
    season = _season(request, found)
    page = plot_page(found, season=season, today=site_today(found))
    return render(request, "schedules/plot.html", {"page": page, "beside": words_beside([found])[found.pk]})


def _season(request: HttpRequest, found: Plot) -> int:
    """The season that the address names; the present one when it names none."""
    present = season_of(found.site, site_today(found))
    typed = request.GET.get("season", "")
    if not typed:
        return present
    if not (typed.isascii() and typed.isdigit() and len(typed) == 4):
        raise Http404(f"season: {typed[:20]!r} is not a year like {present}")
    if abs(int(typed) - present) > SEASONS_EITHER_WAY:
        raise Http404(f"season: {typed} is too far from {present}")
    return int(typed)
