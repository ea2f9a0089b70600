"""Everything that weekly letters say, for many members in a fixed number of queries. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial
from typing import Any

from django.db.models import QuerySet

from plots.crops import crop as crop_of
from plots.models import GroundVerdict, Plot, Site, Sowing
from plots.natural_sorting import Naturally
from plots.selectors import season_name, season_of
from schedules.letter_sections import Entry, Section
from schedules.letter_wishes import Ground, ground_of
from schedules.letter_wording import NO_BED, listed, numbered, one_line, place, sentence_case
from schedules.models import Delivery, Job
from schedules.planner.types import Kind
from schedules.selectors import DueJob, as_read, open_jobs, rest_warnings
from schedules.sighting_words import words_beside
from schedules.site_days import Values, site_days_read
from schedules.stored_reasons import verdict_read
from society.models import Member

WEEK_DAYS = 7
LOOKS_BACK = timedelta(days=35)
PLACES: dict[str, int] = {kind: place for place, kind in enumerate(Kind)}
WENT_OUT = (Delivery.State.SENT, Delivery.State.DOUBTFUL)


@dataclass(frozen=True, slots=True)
class To:
    """Whose ground a letter is about, and who reads it: the member, or whoever stands in."""

    member: Member
    reader: Member


@dataclass(frozen=True, slots=True)
class LastLetter:
    """What the member was told the last time, by job; and the letter's Message-ID."""

    on: date
    jobs: Mapping[str, Sequence[str]]
    message_id: str


@dataclass(frozen=True, slots=True)
class Matter:
    """What one letter is about. ``told`` are jobs of the last letter that do not stand in this one."""

    to: To
    today: date
    plots: tuple[Plot, ...]
    jobs: tuple[DueJob, ...]
    sites: tuple[tuple[Site, Values], ...]
    sections: tuple[Section, ...]
    last: LastLetter | None
    gone: tuple[Job, ...]

    @property
    def groups(self) -> list[list[DueJob]]:
        """The jobs as a letter numbers them: what differs in nothing but the bed is one thing to do."""
        found: dict[tuple[Any, ...], list[DueJob]] = {}
        for due in self.jobs:
            job = due.job
            window = (job.start_on, job.best_on, job.by_on)
            said = (due.title, due.reason_text, due.note_texts, due.caution_texts)
            found.setdefault((job.sowing.patch.plot_id, due.kind, window, said), []).append(due)
        return list(found.values())

    @property
    def is_empty(self) -> bool:
        return not self.jobs

    @property
    def on_several_sites(self) -> bool:
        return len(self.sites) > 1


def gather(people: Sequence[To], *, today: date, ground: Mapping[int, Ground] | None = None) -> list[Matter]:
    """The matter of each letter, in the order of ``people``. Nine queries, seven with ``ground`` known."""
    members = [to.member for to in people]
    ground = ground_of(members, on=today) if ground is None else ground
    known = _Known(members, ground, today)
    return [known.matter(to) for to in people]


class _Known:
    """What was read of all these members' ground at once."""

    def __init__(self, members: Sequence[Member], ground: Mapping[int, Ground], today: date) -> None:
        self.ground, self.today = ground, today
        wanted = {pk for member in members for pk in ground.get(member.pk, Ground()).plots}
        rows = Plot.objects.filter(pk__in=wanted).select_related("site")
        self.plots = {plot.pk: plot for plot in rows.order_by("site__name", Naturally("number"))}
        self.sites = {plot.site_id: plot.site for plot in self.plots.values()}
        self.site_values = site_days_read(self.sites.values(), today=today)
        self.jobs = _by_plot(_jobs_of_week(self.plots.values(), today))
        self.rest = _by_plot(_not_sound(self.plots.values(), self.sites.values(), today))
        self.beside = words_beside(list(self.plots.values()))
        self.last = _last_letters(members, today)
        due = {job.key for jobs in self.jobs.values() for job in jobs}
        told = {key for letter in self.last.values() for key in letter.jobs} - due
        self.gone = {job.key: job for job in _told_jobs(told)}

    def matter(self, to: To) -> Matter:
        mine = self.ground.get(to.member.pk, Ground()).plots
        plots = tuple(plot for pk, plot in self.plots.items() if pk in mine)
        sites = {plot.site_id: plot.site for plot in plots}
        jobs = sorted(
            (job for plot in plots for job in self.jobs.get(plot.pk, ())),
            key=lambda job: (
                job.by_on,
                job.best_on,
                job.start_on,
                PLACES.get(job.kind, len(PLACES)),
                job.key,
            ),
        )
        last = self.last.get(to.member.pk)
        return Matter(
            to=to,
            today=self.today,
            plots=plots,
            jobs=tuple(as_read(job, today=self.today, units=to.reader.units) for job in jobs),
            sites=tuple((site, self.site_values[pk]) for pk, site in sites.items()),
            sections=tuple(self._sections(plots, is_spread=len(sites) > 1)),
            last=last,
            gone=tuple(self.gone[key] for key in (last.jobs if last else ()) if key in self.gone),
        )

    def _sections(self, plots: Sequence[Plot], *, is_spread: bool) -> Iterable[Section]:
        """What stands below the jobs, each with a heading of its own. More goes in here."""
        if beside := _beside(plots, self.beside, is_spread=is_spread):
            yield Section("Seen beside your ground", tuple(beside))
        rest = [row for plot in plots for row in self.rest.get(plot.pk, ())]
        if rest:
            yield Section(
                "Ground that has not rested long enough",
                tuple(_rest_entry(row, is_spread=is_spread) for row in rest),
            )


def _jobs_of_week(plots: Iterable[Plot], today: date) -> QuerySet[Job]:
    rows = open_jobs(plots).filter(start_on__lt=today + timedelta(days=WEEK_DAYS))
    return rows.select_related("sowing__patch__plot__site")


def _not_sound(plots: Iterable[Plot], sites: Iterable[Site], today: date) -> list[GroundVerdict]:
    """What is planned on ground that has not rested: it can still be moved."""
    seasons = {site.pk: season_of(site, today) for site in sites}
    if not seasons:
        return []
    rows = rest_warnings(plots, season=min(seasons.values())).filter(sowing__state=Sowing.State.PLANNED)
    return [
        row
        for row in rows.select_related("sowing__patch__plot__site")
        if row.sowing.last_season >= seasons[row.sowing.patch.site_id]
    ]


def _last_letters(members: Iterable[Member], today: date) -> dict[int, LastLetter]:
    rows = Delivery.objects.filter(
        member__in=[member.pk for member in members],
        kind=Delivery.Kind.WEEKLY,
        state__in=WENT_OUT,
        local_date__range=(today - LOOKS_BACK, today - timedelta(days=1)),
    ).order_by("local_date")
    return {
        member: LastLetter(on, told.get("jobs", {}), message_id)
        for member, on, told, message_id in rows.values_list("member", "local_date", "told", "message_id")
    }


def _told_jobs(keys: Iterable[str]) -> QuerySet[Job]:
    rows = Job.objects.filter(key__in=list(keys))
    return rows.select_related("sowing__patch__plot__site", "sowing__patch__bed", "explanation")


def _by_plot(rows: Iterable[Any]) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for row in rows:
        found[row.sowing.patch.plot_id].append(row)
    return found


def _beside(plots: Sequence[Plot], words: Mapping[int, Sequence[str]], *, is_spread: bool) -> list[Entry]:
    """What the committee tells of problems seen next to these plots: each once, with the plots it is for."""
    concerned: dict[str, list[Plot]] = defaultdict(list)
    for plot in plots:
        for told in words.get(plot.pk, ()):
            concerned[told].append(plot)
    return [
        Entry(
            heading=sentence_case(numbered(for_plots)),
            place=listed(sorted({one_line(plot.site.name) for plot in for_plots})) if is_spread else "",
            when="",
            why=told,
        )
        for told, for_plots in concerned.items()
    ]


def _rest_entry(row: GroundVerdict, *, is_spread: bool) -> Entry:
    sowing = row.sowing
    site, bed = sowing.patch.plot.site, sowing.patch.bed
    named = partial(season_name, site)
    return Entry(
        heading=f"{crop_of(sowing.crop).name}, planned for {named(sowing.season)}",
        place=place(
            sowing.patch.plot.number, bed.name if bed else NO_BED, site=site.name if is_spread else ""
        ),
        when="",
        why=verdict_read(row.rule, row.values, season_name=named),
    )
