"""The link under a job in a letter: it opens that one job to that one reader, for some weeks.

Nothing is kept of it. It names the job, whose letter it was and who read it, and is signed with the server's
secret, so that it can be neither guessed nor bent to another job.
"""

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
    """What a link opens: the job, who reads it, and the local day."""

    job: Job
    reader: Member
    today: date


def job_link(*, job: int, member: int, reader: int, today: date) -> str:
    """The address under a job in a letter of ``today`` about a member's ground, to whoever reads it."""
    ends = (today + OPEN_FOR - FIRST_DAY).days
    token = Signer(salt=SALT).sign_object([job, member, reader, ends])
    return settings.PUBLIC_URL + reverse("job-by-letter", args=[token])


def job_of_link(token: str, *, now: datetime) -> Opened | None:
    """The job that a link opens; None when it opens nothing to this reader any more, or never did.

    Whose ground it is, and who stands in for them, is asked anew: LinkOver when only the time is over.
    """
    try:
        job_pk, member_pk, reader_pk, ends = map(int, Signer(salt=SALT).unsign_object(token))
    except (BadSignature, ValueError, TypeError):
        return None
    jobs = Job.objects.select_related("sowing__patch__plot__site", "sowing__patch__bed", "explanation")
    job = jobs.filter(pk=job_pk).first()
    people = {each.pk: each for each in Member.objects.filter(pk__in={member_pk, reader_pk})}
    member, reader = people.get(member_pk), people.get(reader_pk)
    if job is None or member is None or reader is None or not (member.is_active and reader.is_active):
        return None
    plot = job.sowing.patch.plot
    today = clock.local_date(now, zone(plot.site.zone))
    if member.pk not in members_working(plot, on=today):
        return None
    if reader != member and stand_in_for(member, on=today) != reader:
        return None
    if today > FIRST_DAY + timedelta(days=ends):
        raise LinkOver
    return Opened(job, reader, today)
