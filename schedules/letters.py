"""Letters as people read them: subject, text and HTML, and the message that carries them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import cache
from textwrap import fill

import css_inline
from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.template.loader import render_to_string
from django.urls import reverse

from plots.crops import crop as crop_of
from plots.models import GroundVerdict, Plot, Sowing
from plots.rotation import explain
from plots.selectors import season_of
from schedules.letter_wishes import plots_of
from schedules.models import Delivery
from schedules.selectors import DueJob, jobs_due, rest_warnings
from society.models import Member

TEMPLATES = "schedules/letters"
TEXT_WIDTH = 72
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


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
        lines = [self.place, self.when, f"Why: {self.why}" if self.why else "", *self.notes]
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
        "entries": [entry_of(job) for job in jobs],
        "rest": [rest_entry(row) for row in _rest(plots, today)],
        "week_url": settings.PUBLIC_URL + reverse("this-week"),
        "language": settings.LANGUAGE_CODE,
    }
    return Letter(
        title=one_line(render_to_string(f"{TEMPLATES}/weekly_subject.txt", context))[:200],
        text=render_to_string(f"{TEMPLATES}/weekly.txt", context),
        html=_inliner().inline(render_to_string(f"{TEMPLATES}/weekly.html", context)),
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


def entry_of(due: DueJob) -> Entry:
    job = due.job
    return Entry(
        heading=due.title,
        place=place(due.plot_number, due.bed_name),
        when=f"{sentence_case(due.when)}. {window_words(job.start_on, job.best_on, job.by_on)}",
        why=due.reason_text,
        notes=due.note_texts,
        cautions=due.caution_texts,
    )


def rest_entry(row: GroundVerdict) -> Entry:
    sowing = row.sowing
    bed = sowing.patch.bed
    return Entry(
        heading=f"{crop_of(sowing.crop).name}, planned for {sowing.season}",
        place=place(sowing.patch.plot.number, bed.name if bed else "open ground"),
        when="",
        why=explain(row.rule, row.values),
    )


def _rest(plots: list[Plot], today: date) -> Iterable[GroundVerdict]:
    """What is planned on ground that has not rested: it can still be moved."""
    for site in {plot.site_id: plot.site for plot in plots}.values():
        here = [plot for plot in plots if plot.site_id == site.pk]
        warnings = rest_warnings(here, season=season_of(site, today))
        yield from warnings.filter(sowing__state=Sowing.State.PLANNED)


@cache
def _inliner() -> css_inline.CSSInliner:
    # Mail readers drop style sheets; the rules for a dark screen cannot be inlined and stay as they are.
    return css_inline.CSSInliner(keep_at_rules=True, load_remote_stylesheets=False)


def window_words(start: date, best: date, by: date) -> str:
    """'From 9 April, best on 12 April, by 15 April.'"""
    if start == by:
        return f"On {short_day(start)}."
    return f"From {short_day(start)}, best on {short_day(best)}, by {short_day(by)}."


def place(plot_number: str, bed_name: str) -> str:
    return one_line(f"Plot {plot_number}, {bed_name}")


def numbered(plots: Iterable[Plot]) -> str:
    """'plot 7', 'plots 7, 8 and 11'."""
    numbers = [one_line(plot.number) for plot in plots]
    if len(numbers) == 1:
        return f"plot {numbers[0]}"
    return f"plots {', '.join(numbers[:-1])} and {numbers[-1]}" if numbers else "no plot"


def jobs_in_words(count: int) -> str:
    number = NUMBERS[count] if count < len(NUMBERS) else str(count)
    return f"{number} job" if count == 1 else f"{number} jobs"


def short_day(day: date) -> str:
    return f"{day.day} {day:%B}"


def long_day(day: date) -> str:
    return f"{day:%A} {short_day(day)}"


def sentence_case(text: str) -> str:
    return text[:1].upper() + text[1:]


def one_line(text: str) -> str:
    """Free text that somebody typed, fit for a header: no line breaks and nothing unprintable."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())


def set_in(line: str) -> str:
    return fill(
        line,
        TEXT_WIDTH,
        initial_indent="   ",
        subsequent_indent="   ",
        break_long_words=False,
        break_on_hyphens=False,
    )
