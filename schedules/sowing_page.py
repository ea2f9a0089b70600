"""One sowing: what it asks for next, how its ground was judged, and all its jobs with their states."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from plots.measures import area_words, length_words
from plots.models import Sowing
from plots.placing import patch_sides
from schedules.models import Job, Outlook
from schedules.planner import Kind
from schedules.planner.sentences import Units
from schedules.plot_page import CropLine, crop_line
from schedules.selectors import DueJob, as_read
from schedules.stored_reasons import notes_read
from schedules.week import Entry, entry_of
from schedules.wording import day_words

FIELD_WORDS = {
    "sow_on": "the day of sowing",
    "not_before": "the day before which it is not sown",
    "season": "the season",
    "last_season": "the season",
    "cover": "the cover",
    "variety": "the variety",
    "patch": "the ground",
    "crop": "the crop",
    "state": "whether it stands",
    "ended_on": "the day on which it was cleared",
}


@dataclass(frozen=True, slots=True)
class SowingPage:
    sowing: Sowing
    line: CropLine
    head: str
    where: str
    ground: str
    outlook: Outlook | None
    warnings: tuple[str, ...]
    notes: tuple[str, ...]
    entries: tuple[Entry, ...]
    is_plan: bool
    is_standing: bool

    @property
    def is_over(self) -> bool:
        return not (self.is_plan or self.is_standing)


def sowing_page(sowing: Sowing, *, today: date, units: Units) -> SowingPage:
    """Gather a sowing. One query beyond the sowing itself."""
    jobs = [as_read(job, today=today, units=units) for job in _jobs(sowing)]
    line = crop_line(sowing, sowing.patch.site)
    outlook: Outlook | None = getattr(sowing, "outlook", None)
    length_m, width_m = patch_sides(sowing.patch.outline)
    is_plan = sowing.state == Sowing.State.PLANNED
    return SowingPage(
        sowing=sowing,
        line=line,
        head=_head(line, jobs, today=today),
        where=sowing.patch.bed.name if sowing.patch.bed else "open ground",
        ground=f"{length_words(length_m, units)} by {length_words(width_m, units)}, "
        f"{area_words(sowing.patch.area_m2)}",
        outlook=outlook,
        warnings=notes_read(outlook.warnings, units=units) if outlook and is_plan else (),
        notes=notes_read(outlook.notes, units=units) if outlook and is_plan else (),
        entries=tuple(entry_of(each, today=today) for each in jobs),
        is_plan=is_plan,
        is_standing=sowing.state == Sowing.State.SOWN,
    )


def changed_words(fields: Sequence[str]) -> str:
    """'the day of sowing and the cover', for a reader whose page had grown old."""
    words = list(dict.fromkeys(FIELD_WORDS.get(name, name) for name in fields))
    if not words:
        return "what became of its jobs"
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _jobs(sowing: Sowing) -> list[Job]:
    """All jobs that are or were asked for, in the order of their days."""
    rows = sowing.jobs.select_related("sowing__patch__plot", "sowing__patch__bed", "explanation")
    shown = [job for job in rows if job.is_asked or job.state != Job.State.OPEN]
    return sorted(shown, key=lambda job: (job.done_on or job.start_on, job.best_on, _rank(job)))


def _rank(job: Job) -> tuple[int, int]:
    """On one day, the order in which a sowing asks for its jobs: sow, then cover."""
    return (list(Kind).index(Kind(job.kind)), job.stage)


def _head(line: CropLine, jobs: Sequence[DueJob], *, today: date) -> str:
    row = line.sowing
    if row.state in {Sowing.State.LIFTED, Sowing.State.CLEARED} and row.ended_on:
        return f"{line.crop.name}: {row.get_state_display()}, {day_words(row.ended_on, today=today)}"
    waiting = [due for due in jobs if due.job.state == Job.State.OPEN and due.job.is_asked]
    if waiting:
        first = min(waiting, key=lambda due: (due.job.by_on, due.job.best_on, _rank(due.job)))
        return f"{first.title}, {first.when}"
    return f"{line.crop.name}: {row.get_state_display()}, and nothing more is asked of you"
