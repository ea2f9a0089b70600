"""Letters as people read them: subject, text and HTML, and the message that carries them."""

import re
from calendar import month_name
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cache

import css_inline
from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.urls import reverse

from plots.crops import crop as crop_of
from plots.models import GroundVerdict, Plot, Sowing
from plots.selectors import season_of
from schedules.letter_wishes import plots_of
from schedules.letter_wording import (
    jobs_in_words,
    long_day,
    numbered,
    one_line,
    place,
    sentence_case,
    set_in,
    window_words,
)
from schedules.models import Delivery
from schedules.selectors import DueJob, jobs_due, rest_warnings
from schedules.stored_reasons import verdict_read
from society.models import Member

TEMPLATES = "schedules/letters"
NUMBER_AND_UNIT = re.compile(rf"(\d) (°C|°F|mm|cm|m²|in|%|{'|'.join(month_name[1:])})(?![\w])")


@dataclass(frozen=True, slots=True)
class Letter:
    """A written letter and how many jobs it tells of."""

    title: str
    text: str
    html: str
    job_count: int


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that a letter says, as lines: a heading, where and when, why, and what to beware of."""

    heading: str
    place: str
    when: str
    why: str
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The lines under the heading, wrapped and set in for the plain text."""
        lines = [self.place, self.when, self.why, *self.notes]
        lines += [f"Take care: {caution}" for caution in self.cautions]
        return "\n".join(set_in(line) for line in lines if line)


def weekly_letter(*, member: Member, reader: Member, today: date) -> Letter:
    """The week's jobs on a member's ground, to the member or to whoever stands in, in the reader's units."""
    plots = plots_of(member, on=today)
    jobs = jobs_due(plots, today=today, units=reader.units)
    context = {
        "reader": one_line(reader.name),
        "away": one_line(member.name) if reader.pk != member.pk else "",
        "society": one_line(member.society.name),
        "day": long_day(today),
        "ground": numbered(plots),
        "jobs_in_words": jobs_in_words(len(jobs)),
        "entries": cautions_once([entry_of(job, today=today) for job in jobs]),
        "rest": [rest_entry(row) for row in _rest(plots, today)],
        "week_url": settings.PUBLIC_URL + reverse("this-week"),
        "wanted_url": settings.PUBLIC_URL + reverse("letters-wanted"),
        "language": settings.LANGUAGE_CODE,
    }
    return Letter(
        title=one_line(render_to_string(f"{TEMPLATES}/weekly_subject.txt", context))[:200],
        text=render_to_string(f"{TEMPLATES}/weekly.txt", context),
        html=as_html(render_to_string(f"{TEMPLATES}/weekly.html", context)),
        job_count=len(jobs),
    )


def message(delivery: Delivery, *, to: str) -> EmailMultiAlternatives:
    """The stored letter as a message: text first and complete, HTML second."""
    letter = EmailMultiAlternatives(
        subject=delivery.title,
        body=delivery.text,
        to=[to],
        headers={
            "Message-ID": delivery.message_id,
            "Auto-Submitted": "auto-generated",
            "X-Auto-Response-Suppress": "All",
            "Content-Language": settings.LANGUAGE_CODE,
            "List-Id": f"<{delivery.kind.replace('_', '-')}.{settings.MAIL_DOMAIN}>",
        },
    )
    letter.attach_alternative(delivery.html, "text/html")
    return letter


def entry_of(due: DueJob, *, today: date) -> Entry:
    job = due.job
    window = window_words(job.start_on, job.best_on, job.by_on, today=today)
    return Entry(
        heading=due.title,
        place=place(due.plot_number, due.bed_name),
        when=f"{sentence_case(due.when)}. It was due {window}."
        if today > job.by_on
        else f"{sentence_case(window)}.",
        why=due.reason_text,
        notes=due.note_texts,
        cautions=due.caution_texts,
    )


def cautions_once(entries: Sequence[Entry]) -> list[Entry]:
    """Each caution in full where it is first due, and by the number of that job where it comes again."""
    first: dict[str, int] = {}
    told = []
    for number, entry in enumerate(entries, start=1):
        new = [each for each in entry.cautions if first.setdefault(each, number) == number]
        again = sorted({first[each] for each in entry.cautions if first[each] != number})
        pointer = [f"as under {' and '.join(map(str, again))}."] if again else []
        told.append(replace(entry, cautions=(*new, *pointer)))
    return told


def rest_entry(row: GroundVerdict) -> Entry:
    sowing = row.sowing
    bed = sowing.patch.bed
    return Entry(
        heading=f"{crop_of(sowing.crop).name}, planned for {sowing.season}",
        place=place(sowing.patch.plot.number, bed.name if bed else "open ground"),
        when="",
        why=verdict_read(row.rule, row.values),
    )


def _rest(plots: list[Plot], today: date) -> Iterable[GroundVerdict]:
    """What is planned on ground that has not rested: it can still be moved."""
    for site in {plot.site_id: plot.site for plot in plots}.values():
        here = [plot for plot in plots if plot.site_id == site.pk]
        warnings = rest_warnings(here, season=season_of(site, today))
        yield from warnings.filter(sowing__state=Sowing.State.PLANNED)


def as_html(page: str) -> str:
    """With the styles where mail readers keep them, and no number parted from its unit or month."""
    return NUMBER_AND_UNIT.sub("\\1\N{NO-BREAK SPACE}\\2", _inliner().inline(page))


@cache
def _inliner() -> css_inline.CSSInliner:
    # Mail readers drop style sheets; the rules for a dark screen cannot be inlined and stay as they are.
    return css_inline.CSSInliner(keep_at_rules=True, load_remote_stylesheets=False)
