"""What needs the committee today."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from schedules.committee_selectors import committee_needs
from schedules.views.committee.desk import Desk, looked_at


@looked_at
def front(request: HttpRequest, desk: Desk) -> HttpResponse:
    context = {"needs": committee_needs(today=desk.today, now=desk.now), "asker": desk.asker}
    return render(request, "schedules/committee/front.html", context)
