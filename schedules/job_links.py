"""The link under a job in a letter: it opens that job to that one reader, for some weeks.

Where a letter tells of the same work in several beds at once, the link opens those jobs together. Nothing is
kept of it. It names the jobs, whose letter it was and who read it, and is signed with the server's secret, so
that it can be neither guessed nor bent to another job.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.conf import settings
from django.core.signing import BadSignature, Signer
from django.urls import reverse

from plots.workers import members_working
from schedules.models import Job
from society import clock
from society.absence_selectors import stand_in_for
from society.models import Member
from society.zones import zone

SALT = "schedules.job-link"
OPEN_FOR = timedelta(days=35)  # a weekly letter that is read after a month's holiday still works
FIRST_DAY = date(2020, 1, 1)


class LinkOver(Exception):
    """The link was good, and its weeks are over."""


@dataclass(frozen=True, slots=True)
class Opened:
    """What a link opens: the jobs in the letter's order, who reads them, and the local day."""

    jobs: tuple[Job, ...]
    reader: Member
    today: date


def job_link(*, jobs: Sequence[int], member: int, reader: int, today: date) -> str:
    """The address under an entry of a letter of ``today`` about a member's ground, to whoever reads it."""
    ends = (today + OPEN_FOR - FIRST_DAY).days
    token = Signer(salt=SALT).sign_object([member, reader, ends, *jobs])
    return settings.PUBLIC_URL + reverse("job-by-letter", args=[token])


def jobs_of_link(token: str, *, now: datetime) -> Opened | None:
    """The jobs that a link opens; None when it opens nothing to this reader any more, or never did.

    Whose ground it is, and who stands in for them, is asked anew: LinkOver when only the time is over.
    """
    try:
        member_pk, reader_pk, ends, *job_pks = map(int, Signer(salt=SALT).unsign_object(token))
    except (BadSignature, ValueError, TypeError):
        return None
    people = {each.pk: each for each in Member.objects.filter(pk__in={member_pk, reader_pk})}
    member, reader = people.get(member_pk), people.get(reader_pk)
    if member is None or reader is None or not (member.is_active and reader.is_active):
        return None
    rows = Job.objects.select_related("sowing__patch__plot__site", "sowing__patch__bed", "explanation")
    found = rows.in_bulk(job_pks)
    jobs = [job for job in map(found.get, job_pks) if job is not None and _is_theirs(job, member, now)]
    if not jobs:
        return None
    today = _today(jobs[0], now)
    if reader != member and stand_in_for(member, on=today) != reader:
        return None
    if today > FIRST_DAY + timedelta(days=ends):
        raise LinkOver
    return Opened(tuple(jobs), reader, today)


def _is_theirs(job: Job, member: Member, now: datetime) -> bool:
    return member.pk in members_working(job.sowing.patch.plot, on=_today(job, now))


def _today(job: Job, now: datetime) -> date:
    return clock.local_date(now, zone(job.sowing.patch.plot.site.zone))
