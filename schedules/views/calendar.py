"""A member's private calendar: the page that makes and revokes its address, and the file behind it."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_http_methods, require_safe

from schedules.calendar_feed import CONTENT_TYPE, feed
from schedules.calendar_selectors import held_jobs
from schedules.calendar_services import (
    calendar_address_make,
    calendar_address_of,
    calendar_address_read,
    calendar_address_revoke,
)
from schedules.models import CalendarAddress
from schedules.wording import ago_words
from society import clock
from society.asking import house_zone, who_asks
from society.models import Member
from society.permissions import Asker, can_have_calendar

NO_CHOICE = "Choose what the calendar shows: the best day of each job, or its whole window."


@require_safe
def calendar_file(request: HttpRequest, token: str) -> HttpResponse:
    """The file. Whoever has the address may read it; a wrong and a revoked one look alike."""
    address = calendar_address_of(token)
    if address is None:
        raise Http404
    now = clock.now()
    file = feed(address, list(held_jobs(address.member, now=now)))
    calendar_address_read(address=address, now=now)
    # No Last-Modified: what is left out of the file, or renamed in it, leaves no instant behind.
    unchanged = get_conditional_response(request, etag=file.etag)
    response = unchanged or HttpResponse(file.body, content_type=CONTENT_TYPE)
    response["ETag"] = file.etag
    response["Cache-Control"] = "private, max-age=900"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex"
    response["Content-Disposition"] = 'inline; filename="jobs.ics"'
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def calendar(request: HttpRequest) -> HttpResponse:
    """The addresses of those whom the account acts for; a post makes or revokes one of them."""
    asker = who_asks(request)
    if request.method != "POST":
        return _page(request, asker)
    member = _member(request, asker)
    now = clock.now()
    if request.POST.get("do") == "revoke":
        if calendar_address_revoke(member=member, account=asker.account, now=now):
            messages.success(request, "Switched off. The old address shows nothing any more.")
        return redirect("calendar")
    shows = request.POST.get("shows", "")
    if shows not in CalendarAddress.Shows.values:
        return _page(request, asker, faulty=member, status=422)
    _, token = calendar_address_make(member=member, shows=shows, account=asker.account, now=now)
    # Told here once: an address in a redirect would stay in histories and logs.
    told = request.build_absolute_uri(reverse("calendar-file", args=[token]))
    return _page(request, asker, member=member, told=told)


def _member(request: HttpRequest, asker: Asker) -> Member:
    written = request.POST.get("member", "")
    for member in asker.members:
        if str(member.pk) == written and can_have_calendar(asker, member_id=member.pk):
            return member
    raise Http404("member: the account does not act for them")


def _page(
    request: HttpRequest,
    asker: Asker,
    *,
    member: Member | None = None,
    told: str = "",
    faulty: Member | None = None,
    status: int = 200,
) -> HttpResponse:
    rows = CalendarAddress.objects.filter(member__in=asker.members, revoked_at__isnull=True)
    known = {row.member_id: row for row in rows}
    entries = [
        {
            "member": each,
            "address": known.get(each.pk),
            "read": _read_words(known.get(each.pk)),
            "told": told if member and each.pk == member.pk else "",
            "fault": NO_CHOICE if faulty and each.pk == faulty.pk else "",
        }
        for each in asker.members
    ]
    context = {"entries": entries, "choices": CalendarAddress.Shows.choices, "asker": asker}
    return render(request, "schedules/calendar.html", context, status=status)


def _read_words(address: CalendarAddress | None) -> str:
    if address is None or address.last_read_at is None:
        return ""
    return ago_words(address.last_read_at, now=clock.now(), zone=house_zone())
