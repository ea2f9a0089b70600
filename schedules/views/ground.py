"""The ground of those who ask: all their plots in words, and one patch with its years."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from schedules.my_ground import ground_head, grounds_of
from schedules.patch_page import patch_page, whole_patch
from schedules.views.access import bed_for, patch_for, site_today
from schedules.views.units import reading_units
from society import clock
from society.asking import who_asks


@require_safe
@login_required
def my_ground(request: HttpRequest) -> HttpResponse:
    asker = who_asks(request)
    grounds = grounds_of(asker.members, on=asker.on, now=clock.now())
    context = {
        "grounds": grounds,
        "head": ground_head(grounds) if grounds else "You work no plot at present",
        "asker": asker,
    }
    return render(request, "schedules/ground.html", context)


@require_safe
@login_required
def bed(request: HttpRequest, plot: int, pk: int) -> HttpResponse:
    """A bed as one piece of ground: everything that had some of it."""
    asker = who_asks(request)
    found = bed_for(asker, plot, pk)
    page = patch_page(whole_patch(found), today=site_today(found.plot), units=reading_units(asker))
    return render(request, "schedules/patch.html", {"page": page})


@require_safe
@login_required
def patch(request: HttpRequest, plot: int, pk: int) -> HttpResponse:
    asker = who_asks(request)
    found = patch_for(asker, plot, pk)
    page = patch_page(found, today=site_today(found.plot), units=reading_units(asker))
    return render(request, "schedules/patch.html", {"page": page})
