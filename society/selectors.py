"""Reading people. Nothing here writes."""

from collections.abc import Iterable
from datetime import date

from allauth.account.models import EmailAddress
from django.db.models import Q, QuerySet

from society.models import Account, CommitteeSeat, LetterPreference, Member, Society


def the_society() -> Society | None:
    """The one society of this server, or None before it is set up."""
    return Society.objects.order_by("pk").first()


def account_of_address(email: str) -> Account | None:
    """The account that logs in with an address: its own, or another one that it has confirmed."""
    own = Account.objects.filter(email__iexact=email).first()
    if own is not None:
        return own
    confirmed = EmailAddress.objects.filter(email=email.lower(), verified=True).select_related("user").first()
    return confirmed.user if confirmed else None


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


def seated(members: Iterable[Member], *, on: date) -> set[int]:
    """Which of these members have a seat on the committee that day."""
    rows = CommitteeSeat.objects.filter(_seat_on(on), member__in=[member.pk for member in members])
    return set(rows.values_list("member", flat=True))


def committee_members(*, on: date) -> QuerySet[Member]:
    """The active members with a seat on the committee that day."""
    sits = CommitteeSeat.objects.filter(_seat_on(on)).values("member")
    return Member.objects.filter(pk__in=sits, left_on__isnull=True, died_on__isnull=True)


def _seat_on(day: date) -> Q:
    return Q(since__lte=day) & (Q(until__isnull=True) | Q(until__gt=day))


def preferences_of(members: Iterable[Member]) -> dict[int, LetterPreference]:
    """Each member's wishes, by member; who never said anything has what the page starts with."""
    people = [member.pk for member in members]
    said = {wish.member_id: wish for wish in LetterPreference.objects.filter(member__in=people)}
    return {pk: said.get(pk) or LetterPreference(member_id=pk) for pk in people}


def refusals_of(address: str) -> list[bool]:
    """For each member whose address mail servers refused of late: whether it is marked so."""
    once_refused = Member.objects.filter(email__iexact=address, email_refusals__gt=0)
    return [at is not None for at in once_refused.values_list("email_refused_at", flat=True)]
