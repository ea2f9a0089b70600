"""No more letters a minute than the mail provider allows, counted over all workers in the database."""

from datetime import datetime, timedelta

from django.conf import settings

from schedules.deliveries.states import State
from schedules.models import DeliveryStep, MailRoom

# A little over a minute, for the moment between the row and the server's own count.
WINDOW = timedelta(seconds=61)


class TooFast(Exception):
    """This minute's letters are used up."""


def seconds_until_room(*, now: datetime) -> float:
    """How long to wait until another letter may be handed over; 0.0 means now."""
    if not settings.MAIL_PER_MINUTE:
        return 0.0
    # Steps far ahead are from before a clock was set back, and must not stop letters for so long.
    recent = DeliveryStep.objects.filter(
        state=State.HANDED_OVER, at__gt=now - WINDOW, at__lt=now + WINDOW
    ).order_by("-at")
    used_up_by = recent.values_list("at", flat=True)[settings.MAIL_PER_MINUTE - 1 : settings.MAIL_PER_MINUTE]
    oldest = next(iter(used_up_by), None)
    return 0.0 if oldest is None else max(0.1, (oldest + WINDOW - now).total_seconds())


def room_take(*, now: datetime) -> None:
    """Called inside the move to handed_over: one worker at a time counts, and TooFast undoes the move."""
    if not settings.MAIL_PER_MINUTE:
        return
    MailRoom.objects.get_or_create(pk=MailRoom.ONLY)
    MailRoom.objects.select_for_update().get(pk=MailRoom.ONLY)
    if seconds_until_room(now=now):
        raise TooFast
