"""From a claimed row to the message that goes out: each kind of letter has its writer."""

from collections.abc import Callable
from datetime import datetime

from django.core.mail import EmailMessage

from schedules import letters
from schedules.deliveries.checking import receiver_of
from schedules.letter_stops import NotSent
from schedules.letter_wishes import wishes_of
from schedules.letters import Letter
from schedules.models import Delivery
from schedules.people_letters import Outgoing, absence_letter, invitation_letter, log_in_letter

Kind = Delivery.Kind


def message_of(delivery: Delivery, *, now: datetime) -> EmailMessage:
    """The message to send now; the row is given the words to keep, without what is secret in them."""
    writer = WRITERS.get(delivery.kind)
    if writer is None:
        raise LookupError(f"nobody here writes letters of the kind {delivery.kind!r}")
    outgoing = writer(delivery, now=now)
    letter = outgoing.letter
    delivery.title, delivery.text, delivery.html = letter.title, letter.text, letter.html
    message = letters.message(delivery, to=outgoing.to)
    delivery.text, delivery.html = outgoing.kept(letter.text), outgoing.kept(letter.html)
    return message


def weekly_letter(delivery: Delivery, *, now: datetime) -> Outgoing:
    receiver = receiver_of(delivery, now=now)
    if delivery.doubts and delivery.text:  # what is sent once more is the same letter, word for word
        letter = Letter(delivery.title, delivery.text, delivery.html, job_count=0)
        return Outgoing(letter, to=receiver.reader.email)
    letter = letters.weekly_letter(member=receiver.member, reader=receiver.reader, today=receiver.today)
    if not letter.job_count and not wishes_of(receiver.member).weekly_when_empty:
        raise NotSent("nothing is due any more")
    return Outgoing(letter, to=receiver.reader.email)


WRITERS: dict[str, Callable[..., Outgoing]] = {
    Kind.WEEKLY: weekly_letter,
    Kind.INVITATION: invitation_letter,
    Kind.NOTICE: absence_letter,
    Kind.ACCOUNT: log_in_letter,
}
