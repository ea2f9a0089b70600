"""Reading jobs as people read them. Nothing here writes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Q, QuerySet

from plots.crops import crop as crop_of
from plots.models import GroundVerdict, Plot, Sowing
from plots.selectors import plots_worked_by
from plots.verdict_selectors import warning_stands
from schedules.models import Job
from schedules.stored_reasons import cautions_read, notes_read, reason_read
from schedules.titles import job_title
from schedules.wording import when_words
from society.models import Member

# Nothing can be stored that still stands in the ground, however near its lifting is.
NOT_YET_LIFTED = Q(kind="store", sowing__state__in=[Sowing.State.PLANNED, Sowing.State.SOWN])


@dataclass(frozen=True, slots=True)
class DueJob:
    """A job with everything a page, a letter or a screen says of it, in the reader's units."""

    job: Job
    crop_name: str
    plot_number: str
    bed_name: str
    title: str
    when: str
    reason_text: str
    note_texts: tuple[str, ...]
    caution_texts: tuple[str, ...]

    @property
    def key(self) -> str:
        return self.job.key

    @property
    def kind(self) -> str:
        return self.job.kind


def open_jobs(plots: Iterable[Plot]) -> QuerySet[Job]:
    """Jobs that the present plans of these plots ask for and nobody has recorded, most pressing first."""
    return (
        Job.objects.filter(sowing__patch__plot__in=list(plots), state=Job.State.OPEN, is_asked=True)
        .exclude(sowing__state=Sowing.State.CLEARED)
        .exclude(NOT_YET_LIFTED)
        .select_related("sowing__patch__plot", "sowing__patch__bed", "explanation")
        .order_by("by_on", "best_on", "key")
    )


def jobs_due(plots: Iterable[Plot], *, today: date, days: int = 7, units: str = "metric") -> list[DueJob]:
    """The open jobs whose window begins within the coming days (today is the first), late ones included."""
    rows = open_jobs(plots).filter(start_on__lt=today + timedelta(days=days))
    return [as_read(job, today=today, units=units) for job in rows]


def jobs_due_to_member(member: Member, *, today: date, days: int = 7) -> list[DueJob]:
    """What a member's own ground needs in the coming days: on plots held and on plots helped on."""
    return jobs_due(plots_worked_by(member, on=today), today=today, days=days, units=member.units)


def as_read(job: Job, *, today: date, units: str) -> DueJob:
    patch = job.sowing.patch
    crop = crop_of(job.sowing.crop)
    return DueJob(
        job=job,
        crop_name=crop.name,
        plot_number=patch.plot.number,
        bed_name=patch.bed.name if patch.bed else "open ground",
        title=job_title(job.kind, crop, job.values, units=units),
        when=when_words(start=job.start_on, by=job.by_on, today=today),
        reason_text=reason_text(job, units=units),
        note_texts=notes_read(job.notes, units=units),
        caution_texts=cautions_read(job.cautions),
    )


def reason_text(row: Job, *, units: str) -> str:
    """The stored rule and values as one or two plain sentences."""
    return reason_read(row.rule, row.values, row.source, units=units)


def rest_warnings(plots: Iterable[Plot], *, season: int) -> QuerySet[GroundVerdict]:
    """Verdicts of short or broken rest on what stands or is planned from a season on, not overruled."""
    return (
        GroundVerdict.objects.filter(
            warning_stands(), sowing__patch__plot__in=list(plots), sowing__last_season__gte=season
        )
        .select_related("sowing__patch__plot", "sowing__patch__bed")
        .order_by("sowing__season", "sowing_id")
    )
