"""Ground at rest: a whole site, for one family, in one season."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from plots.rest_selectors import ROOTS, families_resting
from plots.selectors import season_of
from schedules.rest_page import rest_page, seasons_shown
from schedules.views.access import site_ground_for
from society import clock
from society.asking import who_asks
from society.zones import zone

ALL_SHEETS = "all"


@require_safe
@login_required
def ground_rest(request: HttpRequest, slug: str) -> HttpResponse:
    asker = who_asks(request)
    site = site_ground_for(asker, slug)
    today = clock.today(zone(site.zone))
    seasons = seasons_shown(site, today=today)
    page = rest_page(
        site,
        family=_family(request),
        season=_season(request, seasons, season_of(site, today)),
        seasons=seasons,
        sheet=_sheet(request),
        plot=request.GET.get("plot", ""),
        today=today,
    )
    return render(request, "schedules/ground_rest.html", {"page": page, "asker": asker})


def _family(request: HttpRequest) -> str:
    typed = request.GET.get("family", "") or ROOTS
    if typed not in families_resting():
        raise Http404(f"family: {typed[:20]!r} has no published rest; choose one of the list")
    return typed


def _season(request: HttpRequest, seasons: range, present: int) -> int:
    typed = request.GET.get("season", "")
    if not typed:
        return present
    if not (typed.isascii() and typed.isdigit() and len(typed) == 4 and int(typed) in seasons):
        raise Http404(f"season: {typed[:20]!r} is none from {seasons[0]} to {seasons[-1]}")
    return int(typed)


def _sheet(request: HttpRequest) -> int:
    """The number of a sheet, the first where none is named; 0 for all of them."""
    typed = request.GET.get("sheet", "")
    if typed == ALL_SHEETS:
        return 0
    return max(1, int(typed)) if typed.isascii() and typed.isdigit() and len(typed) <= 4 else 1
