"""Inviting a member to an account of their own: the offer and the letter that carries it."""

from datetime import datetime

from django.db import transaction

from schedules.deliveries import delivery_order
from schedules.models import Delivery
from society.invitation_services import invitation_offer
from society.models import Account, Invitation, Member


@transaction.atomic
def invitation_make(*, member: Member, email: str, account: Account | None, now: datetime) -> Invitation:
    """Offer a member an account, and write the letter down that tells them.

    The committee's page asks for it, hence `account`; the first one of a server is made without any.
    """
    invitation = invitation_offer(member=member, email=email, account=account, now=now)
    delivery_order(
        kind=Delivery.Kind.INVITATION,
        subject_key=f"invitation-{invitation.pk}",
        member=member,
        address=invitation.email,
        now=now,
    )
    return invitation
