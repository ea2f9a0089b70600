"""Offers of an account: made by the committee, taken up once by whoever the letter reaches."""

from datetime import date, datetime, timedelta

from allauth.account.models import EmailAddress
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from society.account_services import account_link
from society.invitation_tokens import token_hash, token_of
from society.journal import journal_write
from society.models import Account, Invitation, Member

LASTS = timedelta(days=14)


class InvitationClosed(Exception):
    """It was taken up, withdrawn, or ran out between looking and accepting."""


@transaction.atomic
def invitation_offer(*, member: Member, email: str, account: Account | None, now: datetime) -> Invitation:
    """Write an invitation down; an earlier one that is still open is withdrawn.

    Nothing is sent from here: schedules.invitation_services.invitation_make does both.
    """
    if not member.is_active:
        raise ValidationError(
            "This member has left, so there is nobody to invite. If that was a slip, take it back first."
        )
    address = email.strip().lower()
    validate_email(address)
    open_ones = Invitation.objects.filter(member=member, accepted_at=None, withdrawn_at=None)
    open_ones.update(withdrawn_at=now)
    invitation = Invitation(member=member, email=address, made_at=now, expires_at=now + LASTS)
    invitation.token_hash = token_hash(token_of(invitation))
    invitation.save()
    journal_write(
        action="invitation_made",
        subject="society.invitation",
        subject_id=str(invitation.pk),
        at=now,
        account=account,
        values={"member": member.pk},
    )
    return invitation


@transaction.atomic
def invitation_accept(
    *, invitation: Invitation, account: Account | None, password: str, now: datetime, today: date
) -> Account:
    """Take the offer up with an account that exists, or make one with a password; returns the account.

    The letter reached the address, so an account of that address counts it as confirmed.
    """
    held = Invitation.objects.select_for_update().select_related("member").get(pk=invitation.pk)
    if not held.is_open(now) or not held.member.is_active:
        raise InvitationClosed
    if account is None:
        account = Account.objects.create_user(held.email, password)
    held.accepted_at = now
    held.save(update_fields=["accepted_at"])
    _confirm_address(account, held.email)
    if not held.member.email:  # they came in by this address, so it is where their letters reach them
        held.member.email = held.email
        held.member.save(update_fields=["email"])
    account_link(account=account, member=held.member, since=today, by=account, now=now)
    journal_write(
        action="invitation_accepted",
        subject="society.invitation",
        subject_id=str(held.pk),
        at=now,
        account=account,
        values={"member": held.member_id},
    )
    return account


def _confirm_address(account: Account, email: str) -> None:
    """Count the address as confirmed if it is one of the account's own."""
    address = EmailAddress.objects.filter(user=account, email=email).first()
    if address is None and account.email == email:
        address = EmailAddress(user=account, email=email)
    if address is None or not address.can_set_verified():
        return
    address.verified = True
    address.primary = (
        not EmailAddress.objects.filter(user=account, primary=True).exclude(pk=address.pk).exists()
    )
    address.save()
