"""Withdrawing a reading."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from schedules.models import Reading
from schedules.reading_services import reading_withdraw
from society import clock
from society.asking import who_asks
from society.permissions import can_withdraw_reading


@require_POST
@login_required
def withdraw(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a reading count no more: one's own, or any for the committee."""
    asker = who_asks(request)
    reading = get_object_or_404(Reading.objects.select_related("site"), pk=pk)
    if not can_withdraw_reading(asker, member_id=reading.member_id):
        raise Http404
    reading_withdraw(reading=reading, account=asker.account, now=clock.now())
    messages.success(request, "Withdrawn: the reading counts no more, and the dates are worked out again.")
    return redirect(f"{reverse('weather')}?site={reading.site.slug}")
