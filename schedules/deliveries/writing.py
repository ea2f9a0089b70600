"""From a claimed row to the message that goes out: each kind of letter has its writer."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from plots.models import Plot, Site
from schedules.agronomy.evenings import night_ends
from schedules.day_notes import FROST_TOPICS, Said, day_note_of, pressing_on, said_before
from schedules.day_notes.said import NOTE, SECOND
from schedules.deliveries.checking import Receiver, heed_quiet_hours, receiver_of, wanting_member
from schedules.deliveries.post import Sealed
from schedules.deliveries.reading_ahead import ReadAhead, matter_now
from schedules.deliveries.states import TOO_LATE
from schedules.letter_messages import message
from schedules.letter_stops import NotSent
from schedules.letter_wishes import wishes_of
from schedules.letters import Letter
from schedules.models import Delivery
from schedules.people_letters import (
    Outgoing,
    absence_letter,
    digest_letter,
    invitation_letter,
    log_in_letter,
    notice_letter,
    offer_letter,
    trial_letter,
)
from schedules.tonight import evening_of_now
from schedules.weekly_letters import Matter, written
from society.selectors import refusals_of
from society.zones import zone

Kind = Delivery.Kind


# Asked for at this moment by somebody, so a refused address is worth another try.
ASKED_FOR = {Kind.INVITATION, Kind.ACCOUNT, Kind.TEST}
# An invitation says itself until when it holds.
NEVER_TOO_LATE = {Kind.INVITATION}


@dataclass(frozen=True, slots=True)
class Written:
    """A letter ready to go, where it goes, and whether that address was ever refused."""

    sealed: Sealed
    to: str
    was_refused: bool


def message_of(delivery: Delivery, *, now: datetime, ahead: ReadAhead | None = None) -> Written:
    """The message to send now; the row is given the words to keep, without what is secret in them."""
    writer = WRITERS.get(delivery.kind)
    if writer is None:
        raise LookupError(f"nobody here writes letters of the kind {delivery.kind!r}")
    if now - delivery.due_at > TOO_LATE and delivery.kind not in NEVER_TOO_LATE:
        raise NotSent("more than 48 hours late")
    if writer is weekly_letter:
        outgoing = weekly_letter(delivery, now=now, ahead=ahead)
    else:
        outgoing = writer(delivery, now=now)
    if delivery.doubts and delivery.text and not outgoing.secret:
        # What is sent once more is the same letter, word for word.
        outgoing = replace(outgoing, letter=kept_letter(delivery), follows=delivery.follows)
    refused = refusals_of(outgoing.to)
    if any(refused) and delivery.kind not in ASKED_FOR:
        raise NotSent("mail servers refuse the address; the committee can clear it once it is right")
    letter = outgoing.letter
    delivery.title, delivery.text, delivery.html = letter.title, letter.text, letter.html
    delivery.told, delivery.follows = dict(letter.told), outgoing.follows
    sent = message(delivery, to=outgoing.to, reader=outgoing.reader)
    delivery.text, delivery.html = outgoing.kept(letter.text), outgoing.kept(letter.html)
    # A header or address that cannot be written shows here, before anything is handed over.
    mime: Any = sent.message()
    body = mime.as_bytes(linesep="\r\n")
    return Written(Sealed(sent, body), to=outgoing.to, was_refused=bool(refused))


def weekly_letter(delivery: Delivery, *, now: datetime, ahead: ReadAhead | None = None) -> Outgoing:
    receiver, matter = _weekly_matter(delivery, ahead, now=now)
    member, reader = receiver.member, receiver.reader
    if matter.is_empty and not wishes_of(member).weekly_when_empty and not delivery.doubts:
        raise NotSent("nothing is due any more")
    follows = matter.last.message_id if matter.last else ""
    return Outgoing(written(matter), to=reader.email, follows=follows, reader=reader)


def _weekly_matter(delivery: Delivery, ahead: ReadAhead | None, *, now: datetime) -> tuple[Receiver, Matter]:
    known = ahead.known_of(delivery, now=now) if ahead is not None else None
    if known is not None:
        member = wanting_member(delivery, wanted="weekly")
        reader = known.receiver.reader
        is_self = reader.pk == member.pk
        # What is fresh of the member counts before what was read ahead of them.
        if (not is_self and reader.email) or (member.email and member.units == reader.units):
            return replace(known.receiver, member=member, reader=member if is_self else reader), known.matter
    receiver = receiver_of(delivery, now=now, wanted="weekly")
    return receiver, matter_now(receiver)


def day_note(delivery: Delivery, *, now: datetime) -> Outgoing:
    """What still presses and was not told yet; nothing once the night that it is about is over."""
    receiver = receiver_of(delivery, now=now, wanted="day_notes")
    member, reader, evening = receiver.member, receiver.reader, delivery.local_date
    plots = list(Plot.objects.filter(pk__in=receiver.ground.plots).select_related("site"))
    # Far to the west of the site that the note is for, the same date may still be tomorrow.
    begun = [plot for plot in plots if evening_of_now(plot.site, now) >= evening]
    awake = [plot for plot in begun if now < _night_ends(plot.site, evening)]
    if not awake:
        raise NotSent("the night that it was about is over")
    said = said_before([member], evening=evening).get(member.pk, Said())
    evenings = {plot.site_id: evening for plot in awake}
    found = [
        each
        for each in pressing_on(awake, now=now, units=reader.units, evenings=evenings)
        if said.is_news(each, evening=evening)
        and (delivery.subject_key != SECOND or each.topic in FROST_TOPICS)
    ]
    if not found:
        raise NotSent("nothing of it cannot wait any more")
    heed_quiet_hours(receiver, now=now)
    first = said.rows.get(NOTE)
    follows = first.message_id if first and delivery.subject_key == SECOND else ""
    letter = day_note_of(found, member=member, reader=reader, is_spread=len(receiver.ground.site_zones) > 1)
    return Outgoing(letter, to=reader.email, follows=follows, reader=reader)


def _night_ends(site: Site, evening: date) -> datetime:
    return night_ends(site.latitude, site.longitude, evening, zone(site.zone))


def urgent_notice(delivery: Delivery, *, now: datetime) -> Outgoing:
    receiver = receiver_of(delivery, now=now, wanted="notices")
    heed_quiet_hours(receiver, now=now)
    return notice_letter(delivery, member=receiver.member, reader=receiver.reader, now=now)


def kept_letter(delivery: Delivery) -> Letter:
    return Letter(delivery.title, delivery.text, delivery.html, delivery.told)


WRITERS: dict[str, Callable[..., Outgoing]] = {
    Kind.WEEKLY: weekly_letter,
    Kind.DAY_NOTE: day_note,
    Kind.NOTICE: urgent_notice,
    Kind.STAND_IN: absence_letter,
    Kind.OFFER: offer_letter,
    Kind.DIGEST: digest_letter,
    Kind.INVITATION: invitation_letter,
    Kind.ACCOUNT: log_in_letter,
    Kind.TEST: trial_letter,
}
