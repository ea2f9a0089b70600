"""The last look before a letter is written: much may have changed since it fell due."""

from dataclasses import dataclass
from datetime import date, datetime

from schedules.letter_stops import NotSent, living_member
from schedules.letter_wishes import ground_of, wishes_of
from schedules.models import Delivery
from society import clock
from society.absence_selectors import stand_in_for
from society.models import Member


@dataclass(frozen=True, slots=True)
class Receiver:
    """Who reads the letter, whose ground it is about, and the local day on which it is written."""

    reader: Member
    member: Member
    today: date


def receiver_of(delivery: Delivery, *, now: datetime) -> Receiver:
    """Who gets a letter now; NotSent when nobody should."""
    member = living_member(delivery)
    if not wishes_of(member).weekly:
        raise NotSent("the member no longer wants this letter")
    ground = ground_of([member], on=now.date()).get(member.pk)
    if ground is None:
        raise NotSent("the member works no plot any more")
    today = clock.local_date(now, ground.zone(member))
    reader = stand_in_for(member, on=today) or member
    if not reader.email:
        raise NotSent("the member has no e-mail address any more")
    return Receiver(reader, member, today)
