"""The last look before a letter is written: much may have changed since it fell due."""

from dataclasses import dataclass
from datetime import date, datetime

from schedules.deliveries.states import TOO_LATE
from schedules.letter_wishes import ground_of, wishes_of
from schedules.models import Delivery
from society import clock
from society.models import Absence, Member


class NotSent(Exception):
    """Why a letter that was written down is rightly not sent."""


@dataclass(frozen=True, slots=True)
class Receiver:
    """Who reads the letter, whose ground it is about, and the local day on which it is written."""

    reader: Member
    member: Member
    today: date


def receiver_of(delivery: Delivery, *, now: datetime) -> Receiver:
    """Who gets a letter now; NotSent when nobody should."""
    member = delivery.member
    if not member.is_active:
        raise NotSent("the member has left since it fell due")
    if now - delivery.due_at > TOO_LATE:
        raise NotSent("more than 48 hours late")
    if not wishes_of(member).weekly:
        raise NotSent("the member no longer wants this letter")
    ground = ground_of([member], on=now.date()).get(member.pk)
    if ground is None:
        raise NotSent("the member works no plot any more")
    today = clock.local_date(now, ground.zone(member))
    reader = _stand_in(member, today) or member
    if not reader.email:
        raise NotSent("the member has no e-mail address any more")
    return Receiver(reader, member, today)


def _stand_in(member: Member, today: date) -> Member | None:
    """Who accepted to read a member's letters today and can be written to."""
    away = (
        Absence.objects.filter(member=member, since__lte=today, until__gte=today, accepted_at__isnull=False)
        .exclude(stand_in__email="")
        .filter(stand_in__left_on__isnull=True, stand_in__died_on__isnull=True)
        .select_related("stand_in__society")
        .order_by("-since", "-pk")
        .first()
    )
    return away.stand_in if away else None
