"""Reading letters and those who get theirs on paper. Nothing here writes."""

from collections.abc import Collection
from datetime import date

from django.db.models import Q, QuerySet

from plots.selectors import open_on
from schedules.models import Delivery
from society.models import Member

TROUBLE = "trouble"
TROUBLED = (Delivery.State.REFUSED, Delivery.State.HELD, Delivery.State.DOUBTFUL)


def letters_of(member_ids: Collection[int] | None, *, state: str = "") -> QuerySet[Delivery]:
    """Letters of these members, or of everybody (None), newest first, with their steps.

    ``state`` keeps to one state, or to those that need somebody ('trouble').

    What concerns a log-in is between its owner and the server, and stands in nobody's list.
    """
    rows = Delivery.objects.filter(member__isnull=False)
    rows = rows.select_related("member").prefetch_related("steps")
    if member_ids is not None:
        rows = rows.filter(member_id__in=member_ids)
    if state:
        rows = rows.filter(state__in=TROUBLED if state == TROUBLE else [state])
    return rows.defer("text", "html", "told").order_by("-due_at", "-pk")


def members_for_paper(*, on: date) -> QuerySet[Member]:
    """Active members who work a plot on a day and whom no e-mail reaches: none is known, or it is refused."""
    works = (Q(holdings__isnull=False) & open_on(on, "holdings__tenancy")) | open_on(on, "co_worked")
    unreached = Q(email="") | Q(email_refused_at__isnull=False)
    rows = Member.objects.filter(works, unreached, left_on__isnull=True, died_on__isnull=True)
    return rows.select_related("society", "letters_wanted").distinct()
