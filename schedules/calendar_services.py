"""Making and revoking the private address of a member's calendar."""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.db import transaction
from django.db.models import Q

from schedules.models import CalendarAddress
from society.journal import journal_write
from society.models import Account, Member

TOKEN_BYTES = 32
READ_NOTED_EVERY = timedelta(minutes=10)


@transaction.atomic
def calendar_address_make(
    *, member: Member, shows: str, account: Account | None, now: datetime
) -> tuple[CalendarAddress, str]:
    """A new address and its secret; the old address is dead. The secret is told here once, and not kept."""
    Member.objects.select_for_update().get(pk=member.pk)  # two at once would both find no open address
    _revoke(member, now)
    token = secrets.token_urlsafe(TOKEN_BYTES)
    row = CalendarAddress(member=member, token_hash=_hash(token), shows=shows, made_at=now)
    row.full_clean(exclude=["member"])
    row.save()
    _noted("calendar.made", member, account, now)
    return row, token


@transaction.atomic
def calendar_address_revoke(*, member: Member, account: Account | None, now: datetime) -> bool:
    """The address opens nothing from now on; False when there was none."""
    is_changed = _revoke(member, now)
    if is_changed:
        _noted("calendar.revoked", member, account, now)
    return is_changed


def calendar_address_read(*, address: CalendarAddress, now: datetime) -> None:
    """Note that a calendar program asked, at most every ten minutes."""
    latest = now - READ_NOTED_EVERY
    unread = Q(last_read_at__isnull=True) | Q(last_read_at__lte=latest)
    CalendarAddress.objects.filter(unread, pk=address.pk).update(last_read_at=now)


def calendar_address_of(token: str) -> CalendarAddress | None:
    """The address that this secret opens; None when it is unknown or revoked, or its member is gone."""
    open_ones = CalendarAddress.objects.filter(revoked_at__isnull=True).select_related(
        "member__society", "member__letters_wanted"
    )
    address = open_ones.filter(token_hash=_hash(token)).first()
    return address if address and address.member.is_active else None


def _revoke(member: Member, now: datetime) -> bool:
    open_ones = CalendarAddress.objects.filter(member=member, revoked_at__isnull=True)
    return bool(open_ones.update(revoked_at=now))


def _hash(token: str) -> str:
    # The secret is long and random, so a plain hash is enough.
    return hashlib.sha256(token.encode()).hexdigest()


def _noted(action: str, member: Member, account: Account | None, now: datetime) -> None:
    journal_write(action=action, subject="society.member", subject_id=str(member.pk), at=now, account=account)
