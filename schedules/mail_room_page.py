"""How the letters stand as a whole, for the committee. Nothing here writes."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Count, Min, Q

from schedules.deliveries.holding import OLDER, mail_room
from schedules.mail_records import MailRecord, mail_records
from schedules.models import Delivery, MailRoom
from society.models import Member

COUNTED_FOR = timedelta(days=30)
LAST_TESTS = 5
# In the order in which a letter lives.
STATES = ("due", "claimed", "handed_over", "sent", "doubtful", "held", "refused", "missed")


@dataclass(frozen=True, slots=True)
class StateCount:
    state: str
    words: str
    count: int


@dataclass(frozen=True, slots=True)
class MailRoomPage:
    """What leaves, what waits and why, and which addresses are no good."""

    room: MailRoom
    counts: Sequence[StateCount]
    oldest_due_at: datetime | None
    held_as_older: int
    refused: Sequence[Member]
    tests: Sequence[Delivery]
    records: Sequence[MailRecord]
    sender: str
    server: str


def mail_room_page(*, now: datetime) -> MailRoomPage:
    """Letters of the last 30 days by state, in a fixed number of queries."""
    recent = Delivery.objects.filter(due_at__gte=now - COUNTED_FOR).order_by()
    found = dict(recent.values_list("state").annotate(count=Count("pk")))
    waits = Delivery.objects.filter(state=Delivery.State.DUE, not_before__lte=now)
    words = dict(Delivery.State.choices)
    host = getattr(settings, "EMAIL_HOST", "") if settings.MAIL else ""
    return MailRoomPage(
        room=mail_room(),
        counts=[StateCount(state, str(words[state]), found[state]) for state in STATES if found.get(state)],
        oldest_due_at=waits.aggregate(oldest=Min("due_at"))["oldest"],
        held_as_older=Delivery.objects.filter(state=Delivery.State.HELD, last_error=OLDER).count(),
        refused=list(_refused()),
        tests=list(Delivery.objects.filter(kind=Delivery.Kind.TEST).order_by("-due_at", "-pk")[:LAST_TESTS]),
        records=mail_records(sender=settings.DEFAULT_FROM_EMAIL, host=host),
        sender=settings.DEFAULT_FROM_EMAIL,
        server=f"{host}:{settings.EMAIL_PORT}" if host else "",
    )


def _refused() -> Sequence[Member]:
    """Members whose address was refused of late, marked ones first."""
    rows = Member.objects.filter(left_on__isnull=True, died_on__isnull=True).filter(
        Q(email_refusals__gt=0) | Q(email_refused_at__isnull=False)
    )
    return list(rows.order_by("-email_refused_at", "name", "pk"))
