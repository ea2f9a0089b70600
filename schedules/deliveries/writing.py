"""From a claimed row to the message that goes out: each kind of letter has its writer."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from schedules import letters
from schedules.deliveries.checking import receiver_of
from schedules.deliveries.post import Sealed
from schedules.deliveries.states import TOO_LATE
from schedules.letter_stops import NotSent
from schedules.letter_wishes import wishes_of
from schedules.letters import Letter
from schedules.models import Delivery
from schedules.people_letters import Outgoing, absence_letter, invitation_letter, log_in_letter
from society.selectors import refusals_of

Kind = Delivery.Kind


# Asked for at this moment by somebody, so a refused address is worth another try.
ASKED_FOR = {Kind.INVITATION, Kind.ACCOUNT}
# An invitation says itself until when it holds.
NEVER_TOO_LATE = {Kind.INVITATION}


@dataclass(frozen=True, slots=True)
class Written:
    """A letter ready to go, where it goes, and whether that address was ever refused."""

    sealed: Sealed
    to: str
    was_refused: bool


def message_of(delivery: Delivery, *, now: datetime) -> Written:
    """The message to send now; the row is given the words to keep, without what is secret in them."""
    writer = WRITERS.get(delivery.kind)
    if writer is None:
        raise LookupError(f"nobody here writes letters of the kind {delivery.kind!r}")
    if now - delivery.due_at > TOO_LATE and delivery.kind not in NEVER_TOO_LATE:
        raise NotSent("more than 48 hours late")
    outgoing = writer(delivery, now=now)
    refused = refusals_of(outgoing.to)
    if any(refused) and delivery.kind not in ASKED_FOR:
        raise NotSent("mail servers refuse the address; the committee can clear it once it is right")
    letter = outgoing.letter
    delivery.title, delivery.text, delivery.html = letter.title, letter.text, letter.html
    message = letters.message(delivery, to=outgoing.to)
    delivery.text, delivery.html = outgoing.kept(letter.text), outgoing.kept(letter.html)
    # A header or address that cannot be written shows here, before anything is handed over.
    mime: Any = message.message()
    body = mime.as_bytes(linesep="\r\n")
    return Written(Sealed(message, body), to=outgoing.to, was_refused=bool(refused))


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
