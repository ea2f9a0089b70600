"""From the matter of a weekly letter to its words, for the post and for paper alike."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from plots.crops import crop as crop_of
from schedules.forecast.service import CREDIT
from schedules.job_links import job_link
from schedules.letter_sections import Entry, Section, cautions_once
from schedules.letter_stopping import stop_line
from schedules.letter_wording import (
    beds_in_words,
    counted,
    jobs_in_words,
    long_day,
    numbered,
    one_line,
    place,
    sentence_case,
    window_words,
)
from schedules.letters import Letter, language_of, letter_of
from schedules.models import Delivery
from schedules.planner import Reason, sentence
from schedules.planner.rules.supply import supply_reasons
from schedules.planner.sentences.wording import Units
from schedules.selectors import DueJob
from schedules.site_day_words import leans_on_forecast, site_day_words
from schedules.stored_reasons import notes_read
from schedules.weekly_letters.gathering import Matter, To, gather
from schedules.weekly_letters.moves import moves, told_of
from society.models import Member

SOWN = frozenset({"sow", "raise"})
# Where the measure of sand is told, the trade's advice to mix the seed with sand would say it twice.
MIX_WITH_SAND, MEASURED_SAND = "fine_seed_in_sand", "sand_for_fine_seed"


@dataclass(frozen=True, slots=True)
class SiteWords:
    heading: str
    sentences: tuple[str, ...]

    @property
    def words(self) -> str:
        return " ".join(self.sentences)


@dataclass(frozen=True, slots=True)
class Sheet:
    """A weekly letter in its parts, in the reader's units."""

    member: Member
    day: str
    ground: str
    head: str
    entries: tuple[Entry, ...]
    sections: tuple[Section, ...]
    sites: tuple[SiteWords, ...]
    leans_on_forecast: bool


def weekly_letter(*, member: Member, reader: Member, today: date) -> Letter:
    """The week's jobs on a member's ground, to the member or to whoever stands in, in the reader's units."""
    return written(gather([To(member, reader)], today=today)[0])


def written(matter: Matter) -> Letter:
    reader, member = matter.to.reader, matter.to.member
    sheet = sheet_of(matter)
    away = one_line(member.name) if reader.pk != member.pk else ""
    subject = f"{jobs_in_words(len(sheet.entries))} on {sheet.ground}, week from {sheet.day}"
    return letter_of(
        "weekly",
        {
            "away": away,
            "ground": sheet.ground,
            "head": sheet.head,
            "entries": sheet.entries,
            "sections": sheet.sections,
            "sites": sheet.sites,
            "stop": stop_line(kind=Delivery.Kind.WEEKLY, member=member, reader=reader),
            "credit": CREDIT if sheet.leans_on_forecast else None,
        },
        title=f"For {away}: {subject}" if away else sentence_case(subject),
        greeting=f"Dear {reader.name},",
        society=member.society,
        language=language_of(reader),
        told={"jobs": told_of(matter.jobs)},
    )


def sheet_of(matter: Matter) -> Sheet:
    """The parts of the letter, for a template of any kind."""
    units: Units = "imperial" if matter.to.reader.units == "imperial" else "metric"
    day, ground = long_day(matter.today), numbered(matter.plots)
    return Sheet(
        member=matter.to.member,
        day=day,
        ground=ground,
        head=_head(matter, ground, day),
        entries=tuple(cautions_once([entry_of(group, matter, units) for group in matter.groups])),
        sections=tuple(_sections(matter)),
        sites=tuple(_site_words(matter, units)),
        leans_on_forecast=any(leans_on_forecast(values) for _, values in matter.sites),
    )


def entry_of(group: Sequence[DueJob], matter: Matter, units: Units) -> Entry:
    """One thing to do, in one bed or in several."""
    due = group[0]
    job, today = due.job, matter.today
    window = window_words(job.start_on, job.best_on, job.by_on, today=today)
    is_late = today > job.by_on
    site = job.sowing.patch.plot.site.name if matter.on_several_sites else ""
    return Entry(
        heading=due.title,
        place=place(due.plot_number, beds_in_words([each.bed_name for each in group]), site=site),
        when=f"{sentence_case(due.when)}. It was due {window}." if is_late else f"{sentence_case(window)}.",
        why=due.reason_text,
        notes=_notes(group, units),
        cautions=due.caution_texts,
        link=job_link(
            jobs=[each.job.pk for each in group],
            member=matter.to.member.pk,
            reader=matter.to.reader.pk,
            today=today,
        ),
    )


def _notes(group: Sequence[DueJob], units: Units) -> tuple[str, ...]:
    """What the job's own reason adds; where something is sown, before it what to have at hand."""
    due = group[0]
    supplies = _supplies(group) if due.kind in SOWN else []
    is_measured = any(each.rule == MEASURED_SAND for each in supplies)
    own = [note for note in due.job.notes if not (is_measured and _rule(note) == MIX_WITH_SAND)]
    return (*(sentence(each, units) for each in supplies), *notes_read(own, units=units))


def _supplies(group: Sequence[DueJob]) -> list[Reason]:
    area_m2 = sum(due.job.sowing.patch.area_m2 for due in group)
    return supply_reasons(crop_of(group[0].job.sowing.crop), area_m2) if area_m2 > 0 else []


def _rule(note: object) -> str:
    return str(note.get("rule")) if isinstance(note, Mapping) else ""


def _head(matter: Matter, ground: str, day: str) -> str:
    groups = matter.groups
    if not groups:
        return f"Nothing is due on {ground} in the week from {day}."
    late = sum(group[0].job.by_on < matter.today for group in groups)
    told = f"{sentence_case(jobs_in_words(len(groups)))} on {ground} in the week from {day}"
    if not late:
        return f"{told}."
    if late == len(groups):
        return f"{told}; {'it is' if late == 1 else 'all are'} late."
    return f"{told}; {counted(late, 'is', 'are').replace(' ', ' of them ', 1)} late."


def _sections(matter: Matter) -> Iterator[Section]:
    moved = moves(matter)
    if moved and matter.last is not None:
        yield Section(f"What moved since the letter of {long_day(matter.last.on)}", tuple(moved))
    yield from matter.sections


def _site_words(matter: Matter, units: Units) -> Iterator[SiteWords]:
    for site, values in matter.sites:
        sentences = site_day_words(values, today=matter.today, units=units)
        if sentences:
            yield SiteWords(f"How {one_line(site.name)} stands", sentences)
