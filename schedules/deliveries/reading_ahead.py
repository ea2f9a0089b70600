"""What the next weekly letters say, on whose ground, and who reads them: read for many at once.

Whether the member may and wants to have the letter is asked letter by letter, of the row that was claimed.
"""

import logging
from collections import defaultdict
from datetime import date, datetime, timedelta
from typing import NamedTuple

from celery.exceptions import SoftTimeLimitExceeded

from schedules.deliveries.checking import Receiver
from schedules.deliveries.holding import free_to_go
from schedules.deliveries.states import State
from schedules.letter_wishes import Ground, ground_of
from schedules.models import Delivery
from schedules.weekly_letters import Matter, To, gather
from society import clock
from society.absence_selectors import stand_ins_for
from society.models import Member

log = logging.getLogger(__name__)

AT_ONCE = 50
# What a letter says may be so old; a job recorded since is told of once more.
FRESH = timedelta(seconds=5)


class Known(NamedTuple):
    receiver: Receiver
    matter: Matter


class ReadAhead:
    """The letters that come next in a run."""

    def __init__(self) -> None:
        self._read_at: datetime | None = None
        self._by_delivery: dict[int, Known | None] = {}

    def known_of(self, delivery: Delivery, *, now: datetime) -> Known | None:
        """What was read of a letter in the last seconds; None where it has to be read alone."""
        if not self._is_fresh(now) or delivery.pk not in self._by_delivery:
            self._read(delivery, now)
        return self._by_delivery.pop(delivery.pk, None)

    def _is_fresh(self, now: datetime) -> bool:
        return self._read_at is not None and timedelta(0) <= now - self._read_at < FRESH

    def _read(self, delivery: Delivery, now: datetime) -> None:
        due = Delivery.objects.filter(state=State.DUE, kind=Delivery.Kind.WEEKLY, not_before__lte=now)
        rows = free_to_go(due).select_related("member__society", "member__letters_wanted")
        letters = [delivery, *rows.order_by("not_before", "pk")[:AT_ONCE]]
        members = {row.pk: row.member for row in letters if row.member is not None}
        ground = ground_of(members.values(), on=now.date())
        groups: dict[date, list[int]] = defaultdict(list)
        for pk, member in members.items():
            if member.pk in ground:
                groups[clock.local_date(now, ground[member.pk].zone(member))].append(pk)
        self._read_at, self._by_delivery = now, {}
        for today, keys in groups.items():
            self._by_delivery |= _known(today, {pk: members[pk] for pk in keys}, ground)


def _known(today: date, members: dict[int, Member], ground: dict[int, Ground]) -> dict[int, Known | None]:
    """By delivery; None for all where they cannot be read together."""
    stand_ins = stand_ins_for(members.values(), on=today)
    people = [To(member, stand_ins.get(member.pk, member)) for member in members.values()]
    try:
        matters = gather(people, today=today, ground=ground)
    except SoftTimeLimitExceeded:
        raise
    except Exception:  # one letter's fault must not cost the others theirs
        log.exception("%s letters could not be read together; each is read alone", len(people))
        return dict.fromkeys(members)
    return {
        pk: Known(_receiver(matter, ground[matter.to.member.pk]), matter)
        for pk, matter in zip(members, matters, strict=True)
    }


def _receiver(matter: Matter, ground: Ground) -> Receiver:
    member = matter.to.member
    return Receiver(matter.to.reader, member, matter.today, ground.zone(member), ground)


def matter_now(receiver: Receiver) -> Matter:
    to = To(receiver.member, receiver.reader)
    [matter] = gather([to], today=receiver.today, ground={receiver.member.pk: receiver.ground})
    return matter
