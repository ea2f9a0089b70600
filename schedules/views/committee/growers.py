"""The members in the society's book."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from plots.member_selectors import grower_lines, grower_page, members_found
from schedules.views.committee.desk import Desk, looked_at, page_of
from society.models import Member

LONGEST_SEARCH = 80


@looked_at
def growers(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Active members, or those who went; forty to a page, found by a part of the name or address."""
    words = request.GET.get("q", "").strip()[:LONGEST_SEARCH]
    gone = request.GET.get("gone") == "yes"
    invited = request.GET.get("invited") == "yes"
    page = page_of(request, members_found(words, gone=gone, invited=invited))
    context = {
        "page": page,
        "lines": grower_lines(page.object_list, on=desk.today),
        "words": words,
        "gone": gone,
        "invited": invited,
    }
    return render(request, "schedules/committee/growers.html", context)


@looked_at
def grower(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    member = get_object_or_404(Member.objects.select_related("society"), pk=pk)
    found = grower_page(member, on=desk.today, now=desk.now)
    return render(request, "schedules/committee/grower.html", {"page": found, "asker": desk.asker})
