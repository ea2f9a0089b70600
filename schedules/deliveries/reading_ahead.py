"""What the next weekly letters say, read for many at once. Who may get one is asked letter by letter."""

import logging
from collections import defaultdict
from datetime import date, datetime, timedelta

from celery.exceptions import SoftTimeLimitExceeded

from schedules.deliveries.checking import Receiver
from schedules.deliveries.holding import free_to_go
from schedules.deliveries.states import State
from schedules.letter_wishes import ground_of
from schedules.models import Delivery
from schedules.weekly_letters import Matter, To, gather
from society import clock
from society.absence_selectors import stand_ins_for

log = logging.getLogger(__name__)

AT_ONCE = 50
# What a letter says may be so old; a job recorded since is told of once more.
FRESH = timedelta(seconds=5)


class ReadAhead:
    """The matter of letters that come next in a run."""

    def __init__(self) -> None:
        self._read_at: datetime | None = None
        self._by_delivery: dict[int, Matter] = {}

    def matter_of(self, delivery: Delivery, receiver: Receiver, *, now: datetime) -> Matter:
        """Kept, if it is fresh and about the same reader and ground; otherwise read now."""
        for attempt in ("kept", "read"):
            matter = self._by_delivery.pop(delivery.pk, None) if self._is_fresh(now) else None
            if matter is not None and _is_about(matter, receiver):
                return matter
            if attempt == "kept":
                self._read(delivery, receiver, now)
        return matter_now(receiver)

    def _is_fresh(self, now: datetime) -> bool:
        return self._read_at is not None and timedelta(0) <= now - self._read_at < FRESH

    def _read(self, delivery: Delivery, receiver: Receiver, now: datetime) -> None:
        due = Delivery.objects.filter(state=State.DUE, kind=Delivery.Kind.WEEKLY, not_before__lte=now)
        rows = free_to_go(due).select_related("member__society").order_by("not_before", "pk")[:AT_ONCE]
        letters = {row.pk: row.member for row in rows if row.member is not None}
        ground = ground_of(letters.values(), on=now.date())
        groups: dict[date, list[int]] = defaultdict(list)
        for pk, member in letters.items():
            if member.pk in ground:
                groups[clock.local_date(now, ground[member.pk].zone(member))].append(pk)
        self._read_at, self._by_delivery = now, {delivery.pk: matter_now(receiver)}
        for today, keys in groups.items():
            stand_ins = stand_ins_for([letters[pk] for pk in keys], on=today)
            people = [To(letters[pk], stand_ins.get(letters[pk].pk, letters[pk])) for pk in keys]
            try:
                matters = gather(people, today=today, ground=ground)
            except SoftTimeLimitExceeded:
                raise
            except Exception:  # one letter's fault must not cost the others theirs
                log.exception("%s letters could not be read together; each is read alone", len(people))
            else:
                self._by_delivery |= dict(zip(keys, matters, strict=True))


def matter_now(receiver: Receiver) -> Matter:
    to = To(receiver.member, receiver.reader)
    [matter] = gather([to], today=receiver.today, ground={receiver.member.pk: receiver.ground})
    return matter


def _is_about(matter: Matter, receiver: Receiver) -> bool:
    return (
        matter.to.reader.pk == receiver.reader.pk
        and matter.to.reader.units == receiver.reader.units
        and matter.today == receiver.today
        and {plot.pk for plot in matter.plots} == receiver.ground.plots
    )
