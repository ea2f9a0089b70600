"""Letters about a log-in: a forgotten password, an address to confirm, and what was changed.

Links with a secret in them are made when the letter is sent and never kept.
"""

from datetime import datetime, timedelta

from allauth.account.forms import default_token_generator
from allauth.account.models import EmailAddress, EmailConfirmationHMAC
from allauth.account.utils import user_pk_to_url_str
from django.conf import settings
from django.urls import reverse

from schedules.letter_stops import NotSent
from schedules.letters import Letter
from schedules.models import Delivery
from schedules.people_letters.plain import Outgoing, Plain
from society.models import Account

LINK_LATEST = timedelta(hours=1)

PASSWORD, ADDRESS = "password", "address"
NOTHING_ASKED = "If this was not you, do nothing: without the link nothing changes."


def log_in_letter(delivery: Delivery, *, now: datetime) -> Outgoing:
    account = delivery.account
    if account is None or not account.is_active:
        raise NotSent("the account was closed meanwhile")
    if delivery.text:  # what was changed: written when it happened, and without a secret
        return Outgoing(Letter(delivery.title, delivery.text, delivery.html), to=delivery.address)
    if now - delivery.due_at > LINK_LATEST:
        raise NotSent("it was asked for more than an hour ago")
    about, *rest = delivery.subject_key.split("-")
    return _password(delivery, account) if about == PASSWORD else _address(delivery, int(rest[0]))


def change_letter(sentence: str) -> Letter:
    """What was changed on an account, for its owner to notice if it was somebody else."""
    link = settings.PUBLIC_URL + reverse("account_reset_password")
    return Plain(
        title=sentence.rstrip("."),
        greeting="Hello,",
        paragraphs=(
            sentence,
            "If that was you, there is nothing to do. If it was not, set a new password at once "
            "and tell your committee:",
        ),
        link=link,
        link_says="Set a new password",
    ).letter()


def _password(delivery: Delivery, account: Account) -> Outgoing:
    key = f"{user_pk_to_url_str(account)}-{default_token_generator.make_token(account)}"
    uid, _, token = key.partition("-")
    link = settings.PUBLIC_URL + reverse(
        "account_reset_password_from_key", kwargs={"uidb36": uid, "key": token}
    )
    plain = Plain(
        title="A new password",
        greeting="Hello,",
        paragraphs=(
            f"Somebody, probably you, asked for a new password for {account.email}. Choose it here:",
        ),
        link=link,
        link_says="Choose a new password",
        closing=("The link works once, within the hour.", NOTHING_ASKED),
    )
    return Outgoing(plain.letter(), to=delivery.address, secret=link)


def _address(delivery: Delivery, pk: int) -> Outgoing:
    address = EmailAddress.objects.filter(pk=pk, user=delivery.account, verified=False).first()
    if address is None:
        raise NotSent("the address was confirmed or taken away meanwhile")
    link = settings.PUBLIC_URL + reverse("account_confirm_email", args=[EmailConfirmationHMAC(address).key])
    plain = Plain(
        title="Is this your address?",
        greeting="Hello,",
        paragraphs=(f"Somebody, probably you, wants to log in with {address.email}. Say that it is yours:",),
        link=link,
        link_says="Confirm the address",
        closing=("The link works for three days.", NOTHING_ASKED),
    )
    return Outgoing(plain.letter(), to=address.email, secret=link)
