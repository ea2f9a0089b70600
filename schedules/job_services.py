"""Recording what was done of a job. The record moves what follows."""

from datetime import date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from plots.ground_services import sowings_ground_check
from plots.models import Site, Sowing
from plots.selectors import season_of
from schedules.models import Job
from schedules.plan_services import local_day, site_locked, sowing_replan
from schedules.wording import date_words
from society.journal import BY_LETTER, journal_write
from society.models import Account, Member

OUTCOMES = ("done", "not_needed", "put_off")
LONGEST_PUT_OFF = timedelta(days=366)


class StaleJob(Exception):
    """The job changed since the page was read; nothing was written."""

    def __init__(self, job: Job) -> None:
        super().__init__(f"{job.key} has changed since it was shown")
        self.job = job


@transaction.atomic
def job_record(
    *,
    job_key: str,
    outcome: str,
    on: date,
    account: Account | None,
    now: datetime,
    version: int | None = None,
    by_letter_to: Member | None = None,
) -> Job:
    """Record a job as done on a day, not needed, or put off until a day, and plan its sowing again.

    ``version`` is the job's count of moves that the reader saw; a stale one raises StaleJob.
    ``by_letter_to`` is who answered by the link in their letter, without an account.
    A date that cannot be raises ValidationError naming the field. Saying the same twice changes nothing.
    """
    site = Site.objects.get(patches__sowings__jobs__key=job_key)
    with site_locked(site):
        job = Job.objects.select_for_update().get(key=job_key)
    if _already(job, outcome, on):
        return job
    if (version is not None and version != job.moves) or job.state != Job.State.OPEN:
        raise StaleJob(job)
    _check(job, outcome, on, today=local_day(job.sowing.patch.site, now))
    if outcome == "put_off":
        job.put_off_until = on
    else:
        job.state = Job.State(outcome)
        job.done_on = on if outcome == "done" else None
        job.put_off_until = None
    job.moves += 1
    job.worked_out_at = now
    job.save(update_fields=["state", "done_on", "put_off_until", "moves", "worked_out_at"])
    if outcome == "done":
        _carry_to_sowing(job.sowing, job.kind, on)
        sowings_ground_check(sowings=[job.sowing], now=now)
    journal_write(
        action=f"job.{outcome}", subject="schedules.job", subject_id=job.key, at=now, account=account,
        values={"on": on.isoformat()} | ({BY_LETTER: by_letter_to.pk} if by_letter_to else {}),
    )  # fmt: skip
    sowing_replan(sowing=job.sowing, now=now)
    job.refresh_from_db()
    return job


def _already(job: Job, outcome: str, on: date) -> bool:
    if outcome == "done":
        return job.state == Job.State.DONE and job.done_on == on
    if outcome == "not_needed":
        return job.state == Job.State.NOT_NEEDED
    return job.state == Job.State.OPEN and job.put_off_until == on


def _check(job: Job, outcome: str, on: date, *, today: date) -> None:
    if outcome not in OUTCOMES:
        raise ValidationError({"outcome": f"{outcome!r} is none of {', '.join(OUTCOMES)}"})
    said = date_words(on)
    if outcome == "put_off" and not today < on <= today + LONGEST_PUT_OFF:
        raise ValidationError(
            {"on": f"{said} does not put it off; choose a day after {date_words(today)}, within a year"}
        )
    if outcome != "done":
        return
    if on > today:
        raise ValidationError(
            {"on": f"{said} is still to come; give the day it was done, {date_words(today)} at the latest"}
        )
    earliest = job.sowing.sown_on if job.kind not in {"warm", "sow"} else today - LONGEST_PUT_OFF
    if earliest and on < earliest:
        first = date_words(earliest)
        raise ValidationError(
            {"on": f"{said} is before {first}, the earliest day this can have been done; check the date"}
        )


def _carry_to_sowing(sowing: Sowing, kind: str, on: date) -> None:
    """Sown ground and lifted ground are facts of the ground record, not only of a job."""
    if kind == "sow" and sowing.state == Sowing.State.PLANNED:
        sowing.state, sowing.sown_on = Sowing.State.SOWN, on
    elif kind == "lift" and sowing.state in {Sowing.State.PLANNED, Sowing.State.SOWN}:
        sowing.state, sowing.ended_on = Sowing.State.LIFTED, on
        sowing.last_season = max(sowing.season, season_of(sowing.patch.site, on))
    else:
        return
    sowing.version += 1
    sowing.save(update_fields=["state", "sown_on", "ended_on", "last_season", "version"])
