"""What is sown across a site in a month."""

from datetime import date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from schedules.season_selectors import month_sowings, sowings_of_month
from schedules.views.committee.desk import Desk, looked_at, page_of, site_chosen, sites

YEARS_EITHER_WAY = 50
MONTHS = 12


@looked_at
def sowings(request: HttpRequest, desk: Desk) -> HttpResponse:
    """A month's sowings plot by plot, forty to a page; the present month unless the address names one."""
    known = sites()
    site = site_chosen(request, known)
    year, month = _month(request, desk.today)
    first = date(year, month, 1)
    context: dict[str, object] = {
        "sites": known,
        "site": site,
        "first": first,
        "before": date(year - (month == 1), (month - 2) % MONTHS + 1, 1),
        "after": date(year + (month == MONTHS), month % MONTHS + 1, 1),
        "is_present": (year, month) == (desk.today.year, desk.today.month),
    }
    if site is not None:
        page = page_of(request, sowings_of_month(site, year=year, month=month, by_plot=True))
        context |= {"page": page, "lines": month_sowings(page.object_list)}
    return render(request, "schedules/committee/sowings.html", context)


def _month(request: HttpRequest, today: date) -> tuple[int, int]:
    year = _number(request, "year", today.year)
    month = _number(request, "month", today.month)
    if abs(year - today.year) > YEARS_EITHER_WAY:
        raise Http404(f"year: {year} is too far from {today.year}")
    if not 1 <= month <= MONTHS:
        raise Http404(f"month: {month} is none of 1 to 12")
    return year, month


def _number(request: HttpRequest, name: str, otherwise: int) -> int:
    typed = request.GET.get(name, "")
    if not typed:
        return otherwise
    if not (typed.isascii() and typed.isdigit() and len(typed) <= 4):
        raise Http404(f"{name}: {typed[:20]!r} is not a number like {otherwise}")
    return int(typed)
