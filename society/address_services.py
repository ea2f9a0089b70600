"""Addresses that mail servers refuse for good. Two refusals in a row, or the committee, stop letters."""

from datetime import datetime

from django.db import transaction
from django.db.models import F, QuerySet
from django.db.models.functions import Greatest

from society.changes import note
from society.models import Account, Member

REFUSALS_THAT_STOP = 2
LONGEST_WHY = 200


@transaction.atomic
def address_refusal_count(*, address: str, why: str, now: datetime) -> None:
    """Count one refusal for good against everybody with this address; the second in a row marks it."""
    _with_address(address).update(email_refusals=F("email_refusals") + 1)
    worn_out = _with_address(address).filter(
        email_refusals__gte=REFUSALS_THAT_STOP, email_refused_at__isnull=True
    )
    for member in worn_out:
        address_mark_refused(member=member, why=why, account=None, now=now)


def address_accepted(*, address: str) -> None:
    """A letter went through: refusals before it count no more. A mark stays until somebody clears it."""
    _with_address(address).filter(email_refusals__gt=0, email_refused_at__isnull=True).update(
        email_refusals=0
    )


@transaction.atomic
def address_mark_refused(*, member: Member, why: str, account: Account | None, now: datetime) -> Member:
    """Send no weekly letters and notices to the member's address until it is changed or cleared."""
    marked = Member.objects.filter(pk=member.pk, email_refused_at__isnull=True).exclude(email="")
    refusals = Greatest(F("email_refusals"), REFUSALS_THAT_STOP)
    if marked.update(email_refused_at=now, email_refused_why=why[:LONGEST_WHY], email_refusals=refusals):
        note(member, "address.refused", account=account, now=now, member=member.pk)
    return Member.objects.get(pk=member.pk)


@transaction.atomic
def address_clear(*, member: Member, account: Account | None, now: datetime) -> Member:
    """Trust the member's address again, as if nothing had been refused."""
    was_marked = Member.objects.filter(pk=member.pk, email_refused_at__isnull=False).exists()
    Member.objects.filter(pk=member.pk).update(email_refusals=0, email_refused_at=None, email_refused_why="")
    if was_marked:
        note(member, "address.cleared", account=account, now=now, member=member.pk)
    return Member.objects.get(pk=member.pk)


def _with_address(address: str) -> QuerySet[Member]:
    return Member.objects.filter(email__iexact=address).exclude(email="")
