"""What on some plots cannot wait today. Nothing here writes."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from enum import StrEnum

from django.db.models import QuerySet

from plots.models import Plot, Sowing
from schedules.agronomy.evenings import sunset
from schedules.models import Job
from schedules.planner.rules.tonight import Rating
from schedules.selectors import open_jobs
from schedules.tonight import Line, SiteTonight, tonight_on
from schedules.tonight_sowings import Standing
from schedules.tonight_words import COVER, FROST, LIFT, THIN
from society.zones import zone

KINDS = ("cover", "showing", "thin", "lift")
# A cover that is to be on by a day is pressing while there is still time to lay it.
BEFORE_THE_FLY = timedelta(days=2)


class Topic(StrEnum):
    """In the order in which a note tells of them."""

    FROST = "frost"
    LIFT = "lift"
    FLY = "fly"
    NOT_UP = "not_up"
    THIN = "thin"


FROST_TOPICS = frozenset({Topic.FROST, Topic.LIFT})
OF_LINES = {
    (COVER, Rating.COVER): Topic.FROST,
    (LIFT, Rating.COVER): Topic.LIFT,
    (THIN, Rating.GOOD): Topic.THIN,
}


@dataclass(frozen=True, slots=True)
class Pressing:
    """One thing about one sowing: from the night ahead (``line``), or from its plan (``job``)."""

    topic: Topic
    sowing: Sowing
    plot: int
    line: Line | None = None
    night: SiteTonight | None = None
    standing: Standing | None = None
    job: Job | None = None

    @property
    def key(self) -> str:
        """What it is known by in later notes: a plan's job, or the sowing under this topic."""
        return self.job.key if self.job else f"{self.topic}:{self.sowing.key}"


def pressing_on(
    plots: Sequence[Plot], *, now: datetime, units: str, evenings: dict[int, date]
) -> list[Pressing]:
    """What presses on these plots in the night after ``evenings``, a local day by site; topic by topic.

    Eight queries at most, whatever the number of plots. What asks for daylight is left out once it is gone.
    """
    if not plots:
        return []
    jobs = list(_jobs(plots))
    found = [*_from_plans(jobs, evenings), *_from_nights(plots, jobs, now, units, evenings)]
    order = list(Topic)
    return sorted(found, key=lambda each: order.index(each.topic))


def _jobs(plots: Sequence[Plot]) -> QuerySet[Job]:
    rows = open_jobs(plots).filter(kind__in=KINDS, sowing__state=Sowing.State.SOWN)
    return rows.select_related("sowing__patch__plot__site")


def _from_plans(jobs: Iterable[Job], evenings: dict[int, date]) -> Iterator[Pressing]:
    for job in jobs:
        plot = job.sowing.patch.plot
        today = evenings[plot.site_id]
        if job.kind == "cover" and job.start_on <= today and job.by_on - BEFORE_THE_FLY <= today:
            yield Pressing(Topic.FLY, job.sowing, plot.pk, job=job)
        if job.kind == "showing" and job.best_on <= today:
            yield Pressing(Topic.NOT_UP, job.sowing, plot.pk, job=job)


def _from_nights(
    plots: Sequence[Plot], jobs: Sequence[Job], now: datetime, units: str, evenings: dict[int, date]
) -> Iterator[Pressing]:
    thinnings = {job.sowing_id: job for job in jobs if job.kind == "thin"}
    for day in sorted(set(evenings.values())):
        here = [plot for plot in plots if evenings[plot.site_id] == day]
        for night in tonight_on(here, jobs, now=now, units=units, evening=day):
            for line in night.lines:
                topic = OF_LINES.get((line.word, line.rating))
                if topic is None or (topic == Topic.THIN and _sun_is_down(night, day, now)):
                    continue
                for each in line.sowings:
                    yield Pressing(
                        topic,
                        each.sowing,
                        each.sowing.patch.plot_id,
                        line=line,
                        night=night,
                        standing=each,
                        job=thinnings.get(each.sowing.pk) if topic == Topic.THIN else None,
                    )


def _sun_is_down(night: SiteTonight, day: date, now: datetime) -> bool:
    site = night.site
    sets = sunset(site.latitude, site.longitude, day, zone(site.zone))
    return sets is not None and now >= sets


def frost_line(night: SiteTonight) -> Line | None:
    """How cold the night is to be, in words."""
    return next((line for line in night.lines if line.word == FROST), None)
