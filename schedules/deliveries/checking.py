"""The last look before a letter is written: much may have changed since it fell due."""

from dataclasses import dataclass, field
from datetime import date, datetime
from zoneinfo import ZoneInfo

from schedules.letter_quiet import after_quiet
from schedules.letter_stops import NotSent, living_member
from schedules.letter_wishes import Ground, ground_of, wishes_of
from schedules.models import Delivery
from society import clock
from society.absence_selectors import stand_in_for
from society.models import Member


class NotNow(Exception):
    """Whoever reads the letter wants quiet until an instant."""

    def __init__(self, until: datetime) -> None:
        super().__init__(f"in the reader's quiet hours, until {until:%Y-%m-%d %H:%M} UTC")
        self.until = until


@dataclass(frozen=True, slots=True)
class Receiver:
    """Who reads the letter, whose ground it is about, and the local day on which it is written."""

    reader: Member
    member: Member
    today: date
    zone: ZoneInfo
    ground: Ground = field(default_factory=Ground)


def wanting_member(delivery: Delivery, *, wanted: str) -> Member:
    """The member, who is there and wants letters of this kind, as read when the letter was claimed."""
    member = living_member(delivery)
    if not getattr(wishes_of(member), wanted):
        raise NotSent("the member no longer wants this letter")
    return member


def receiver_of(delivery: Delivery, *, now: datetime, wanted: str) -> Receiver:
    """Who gets a letter about a member's ground now; NotSent when nobody should.

    ``wanted`` names the preference that lets letters of this kind through. Asked of the rows as they are at
    this moment: rights to the ground, wishes, age, and who stands in.
    """
    member = wanting_member(delivery, wanted=wanted)
    ground = ground_of([member], on=now.date()).get(member.pk)
    if ground is None:
        raise NotSent("the member works no plot any more")
    zone = ground.zone(member)
    today = clock.local_date(now, zone)
    reader = stand_in_for(member, on=today) or member
    if not reader.email:
        raise NotSent("the member has no e-mail address any more")
    return Receiver(reader, member, today, zone, ground)


def heed_quiet_hours(receiver: Receiver, *, now: datetime) -> None:
    """NotNow in the reader's quiet hours, which a letter may come to long after it fell due.

    A mail server that comes back at night, or letters let go then, must wake nobody.
    """
    reader, ground = receiver.reader, receiver.ground
    if reader.pk != receiver.member.pk:
        ground = ground_of([reader], on=receiver.today).get(reader.pk, Ground())
    until = after_quiet(now, wishes_of(reader), ground.zone(reader))
    if until > now:
        raise NotNow(until)
