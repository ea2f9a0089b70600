"""Reading people. Nothing here writes."""

from datetime import date

from django.db.models import Q, QuerySet

from society.models import Account, Member, Society


def the_society() -> Society | None:
    """The one society of this server, or None before it is set up."""
    return Society.objects.order_by("pk").first()


def members_acted_for(account: Account, *, on: date) -> QuerySet[Member]:
    """The active members for whom an account may act on a day."""
    link = Q(acted_for_by__account=account, acted_for_by__since__lte=on) & (
        Q(acted_for_by__until__isnull=True) | Q(acted_for_by__until__gt=on)
    )
    return Member.objects.filter(link, left_on__isnull=True, died_on__isnull=True).distinct()


def sits_on_committee(account: Account, *, on: date) -> bool:
    """Whether any member for whom the account acts has a seat on the committee that day."""
    seat = Q(seats__since__lte=on) & (Q(seats__until__isnull=True) | Q(seats__until__gt=on))
    return members_acted_for(account, on=on).filter(seat).exists()
