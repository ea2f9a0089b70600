"""The message that carries a letter: its headers, its text first and complete, its HTML second."""

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.utils.text import slugify

from schedules.letter_stopping import stop_headers
from schedules.letters import language_of
from schedules.models import Delivery
from society.models import Member, Society
from society.selectors import the_society


def message(delivery: Delivery, *, to: str, reader: Member | None = None) -> EmailMultiAlternatives:
    """The letter that a row holds, as a message. The Message-ID is the row's, however often it is sent."""
    letter = EmailMultiAlternatives(
        subject=delivery.title, body=delivery.text, to=[to], headers=headers(delivery, reader=reader)
    )
    letter.attach_alternative(delivery.html, "text/html")
    return letter


def headers(delivery: Delivery, *, reader: Member | None) -> dict[str, str]:
    """What the message says of itself beside sender, reader and subject.

    Message-ID and References: RFC 5322, section 3.6.4. Auto-Submitted: RFC 3834, section 5; the line after
    it keeps one mail server's out-of-office answers away (from memory). List-Id: RFC 2919.
    """
    found = {
        "Message-ID": delivery.message_id,
        "Auto-Submitted": "auto-generated",
        "X-Auto-Response-Suppress": "All",
        "Content-Language": language_of(reader),
        "List-Id": list_id(delivery),
    }
    if delivery.follows:
        found["References"] = delivery.follows
    if reader is not None and delivery.member_id is not None:
        found |= stop_headers(kind=delivery.kind, member=delivery.member_id, reader=reader.pk)
    return found


def list_id(delivery: Delivery) -> str:
    """One for each kind of letter of a society, so that mail readers can sort by it."""
    society: Society | None = delivery.member.society if delivery.member else the_society()
    name = slugify(society.name)[:60].strip("-") if society else ""
    parts = (delivery.kind.replace("_", "-"), name, settings.MAIL_DOMAIN)
    return f"<{'.'.join(part for part in parts if part)}>"
