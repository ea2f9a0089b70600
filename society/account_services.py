"""For whom an account acts: a couple with one log-in, a daughter who reads her father's letters."""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from society.journal import journal_write
from society.models import Account, AccountMember, Member


@transaction.atomic
def account_link(
    *, account: Account, member: Member, since: date, by: Account | None, now: datetime
) -> AccountMember:
    """Let an account act for a member from a day. Where it does so already, nothing changes."""
    if not member.is_active:
        raise ValidationError("This member has left: nobody can act for them any more.")
    Account.objects.select_for_update().get(pk=account.pk)  # two links at once wait for each other
    link = AccountMember.objects.filter(account=account, member=member, until=None).first()
    if link is not None and link.since <= since:
        return link
    if link is None:
        link = AccountMember.objects.create(account=account, member=member, since=since)
    else:
        link.since = since
        link.save(update_fields=["since"])
    _note("account_linked", link, by=by, now=now)
    return link


@transaction.atomic
def account_unlink(
    *, account: Account, member: Member, until: date, by: Account | None, now: datetime
) -> AccountMember:
    """End it: from that day on the account sees nothing of the member's any more."""
    held = Q(until__isnull=True) | Q(until__gt=until)
    link = (
        AccountMember.objects.select_for_update()
        .filter(held, account=account, member=member)
        .order_by("-since")
        .first()
    )
    if link is None:
        raise ValidationError("This account does not act for this member then: there is nothing to end.")
    link.until = max(until, link.since)  # one that had not begun yet never begins
    link.save(update_fields=["until"])
    _note("account_unlinked", link, by=by, now=now)
    return link


def _note(action: str, link: AccountMember, *, by: Account | None, now: datetime) -> None:
    journal_write(
        action=action,
        subject="society.account",
        subject_id=str(link.account_id),
        at=now,
        account=by,
        values={"member": link.member_id, "since": link.since, "until": link.until},
    )
