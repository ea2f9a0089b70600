"""Which jobs a member's calendar holds. Nothing here writes."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Q

from plots.models import Sowing
from schedules.letter_wishes import ground_of
from schedules.models import Job
from schedules.selectors import NOT_YET_LIFTED, DueJob, as_read
from society import clock
from society.models import Member

KEPT_FOR = timedelta(days=30)
CLEARED = Q(sowing__state=Sowing.State.CLEARED)
WAITS = Q(state=Job.State.OPEN, is_asked=True) & ~CLEARED


@dataclass(frozen=True, slots=True)
class Held:
    """A job in a calendar: as it is read, and whether it still stands."""

    due: DueJob
    is_off: bool


def held_jobs(member: Member, *, now: datetime) -> Iterator[Held]:
    """A member's open jobs, and for 30 days what was done or is no longer asked for, by key.

    A job that nobody was ever asked to do does not show as called off.
    """
    ground = ground_of([member], on=now.date()).get(member.pk)
    if ground is None:
        return
    today = clock.local_date(now, ground.zone(member))
    recent = Q(worked_out_at__gt=now - KEPT_FOR)
    over = recent & (~Q(state=Job.State.OPEN) | Q(is_asked=False, moves__gt=0) | CLEARED & Q(is_asked=True))
    rows = (
        Job.objects.filter(WAITS | over, sowing__patch__plot__in=ground.plots)
        .exclude(NOT_YET_LIFTED)
        .select_related("sowing__patch__plot", "sowing__patch__bed", "explanation")
        .order_by("key")
    )
    for job in rows:
        stands = job.state == Job.State.DONE or (
            job.state == Job.State.OPEN and job.is_asked and job.sowing.state != Sowing.State.CLEARED
        )
        yield Held(as_read(job, today=today, units=member.units), is_off=not stands)
