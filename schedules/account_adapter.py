"""The letters about log-ins: written down like every other letter, and sent by the same way.

A page that asks for one writes a row and answers at once, so that neither its words nor a mail server's
slowness tell who has an account here.
"""

from collections.abc import Iterable
from typing import Any

from allauth.account.models import EmailAddress, EmailConfirmationHMAC
from django.db import transaction
from django.http import HttpRequest

from schedules.deliveries import delivery_order
from schedules.letters import Letter
from schedules.models import Delivery
from schedules.people_letters.log_ins import ADDRESS, PASSWORD, change_letter
from society import clock
from society.account_adapter import HouseAdapter
from society.journal import journal_write
from society.models import Account

CHANGES = {
    "password_changed": "The password of your log-in was changed.",
    "password_reset": "The password of your log-in was set anew.",
    "email_changed": "You now get letters about your log-in at {to_email}, no longer at {from_email}.",
    "email_deleted": "The address {deleted_email} was taken away from your log-in.",
}


class LetterAdapter(HouseAdapter):
    """Turns what allauth wants to mail into rows."""

    def send_mail(self, template_prefix: str, email: str, context: dict[str, Any]) -> None:
        raise NotImplementedError(f"nobody here writes {template_prefix!r}: every letter is a row first")

    def send_password_letters(self, accounts: Iterable[Account], email: str) -> None:
        """A link to each account of the address; for an unknown one the same work, undone at once."""
        now = clock.now()
        about = f"{PASSWORD}-{now:%H%M}"  # asked twice in a minute, one letter
        found = list(accounts)
        for account in found:
            _order(account, about, address=email)
        if not found:
            _rehearse(about)

    def send_confirmation_mail(
        self, request: HttpRequest, emailconfirmation: EmailConfirmationHMAC, signup: bool
    ) -> None:
        address: EmailAddress = emailconfirmation.email_address
        _order(address.user, f"{ADDRESS}-{address.pk}-{clock.now():%H%M}", address=address.email)

    def send_notification_mail(
        self,
        template_prefix: str,
        user: Account,
        context: dict[str, Any] | None = None,
        email: str | None = None,
    ) -> None:
        """Note what was changed, and tell the owner."""
        now = clock.now()
        change = template_prefix.rpartition("/")[2]
        letter = change_letter(CHANGES[change].format(**(context or {})))
        with transaction.atomic():
            journal_write(
                action=change, subject="society.account", subject_id=str(user.pk), at=now, account=user
            )
            _order(user, f"{change}-{now:%H%M%S}", address=email or user.email, letter=letter)


def _order(account: Account, about: str, *, address: str, letter: Letter | None = None) -> None:
    delivery_order(
        kind=Delivery.Kind.ACCOUNT,
        subject_key=about,
        account=account,
        address=address,
        now=clock.now(),
        title=letter.title if letter else "",
        text=letter.text if letter else "",
        html=letter.html if letter else "",
    )


def _rehearse(about: str) -> None:
    """Order a letter for any account and take it back, so that an unknown address costs the same time."""
    with transaction.atomic():
        account = Account.objects.order_by("pk").first()
        if account is not None:
            _order(account, f"rehearsed-{about}", address="")
        transaction.set_rollback(True)
