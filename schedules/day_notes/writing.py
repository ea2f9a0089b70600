"""From what presses to the words of a day note."""

from collections.abc import Iterable, Sequence
from dataclasses import replace

from django.conf import settings
from django.urls import reverse

from plots.crops import crop as crop_of
from schedules.day_notes.pressing import FROST_TOPICS, Pressing, Topic, frost_line
from schedules.forecast.service import CREDIT
from schedules.letter_sections import Entry, Section, cautions_once
from schedules.letter_stopping import stop_line
from schedules.letter_wording import NO_BED, counted, listed, one_line, place, sentence_case
from schedules.letters import Letter
from schedules.models import Delivery
from schedules.people_letters.plain import Plain
from schedules.planner.sentences.wording import Units
from schedules.stored_reasons import cautions_read, notes_read, reason_read
from schedules.titles import job_title
from society.models import Member

COMES = "A day note comes when something cannot wait, one a day at most; only a frost may add a second."
MOST_NAMED = 3
UNCOVER = "Take the cover off when the day warms."
HEADINGS = {
    Topic.FROST: "Cover before dark",
    Topic.LIFT: "Lift before dark, or lay straw over",
    Topic.FLY: "Cover against the fly",
    Topic.NOT_UP: "Look whether the rows are up",
    Topic.THIN: "A good evening to thin",
}


def day_note_of(found: Sequence[Pressing], *, member: Member, reader: Member, is_spread: bool) -> Letter:
    """The letter about these things, to the member or to whoever stands in, in the reader's units.

    ``is_spread`` says that the member works on several sites, so that places name theirs.
    """
    units: Units = "imperial" if reader.units == "imperial" else "metric"
    away = one_line(member.name) if reader.pk != member.pk else ""
    title = _title(found)
    lead = (f"{away} is away, and you said that you would stand in. This note is about their ground.",)
    letter = Plain(
        title=f"For {away}: {title[:1].lower()}{title[1:]}" if away else title,
        greeting=f"Dear {reader.name},",
        paragraphs=lead if away else (),
        sections=tuple(_sections(found, units, is_spread)),
        link=settings.PUBLIC_URL + reverse("this-week"),
        link_says="The page of the week has all else that is due.",
        comes=COMES,
        stop=stop_line(kind=Delivery.Kind.DAY_NOTE, member=member, reader=reader),
        credit=CREDIT if any(each.line for each in found) else None,
        reader=reader,
    ).letter()
    return replace(letter, told=told_of(found))


def told_of(found: Iterable[Pressing]) -> dict[str, list[str]]:
    """What later notes must know: each thing by its key, a frost by its sowing."""
    return {
        "keys": [
            f"{each.topic}@{each.sowing.key}" if each.topic in FROST_TOPICS else each.key for each in found
        ]
    }


def _title(found: Sequence[Pressing]) -> str:
    first = found[0].topic
    crops = _crops(each for each in found if each.topic == first)
    titles = {
        Topic.FROST: f"Frost may come tonight: cover {crops} before dark",
        Topic.LIFT: f"Frost may come tonight: lift {crops} before dark, or lay straw over",
        Topic.FLY: f"Cover {crops}: the fly is expected",
        Topic.NOT_UP: f"Are the rows of {crops} up?",
        Topic.THIN: f"A good evening to thin {crops}",
    }
    more = len({each.topic for each in found} - {first})
    if not more:
        return titles[first]
    rest = f"{'one more thing' if more == 1 else 'more'} that cannot wait"
    title = titles[first]
    return f"{title} And {rest}" if title.endswith("?") else f"{title}, and {rest}"


def _crops(found: Iterable[Pressing]) -> str:
    names = list(dict.fromkeys(crop_of(each.sowing.crop).name_in_text for each in found))
    if len(names) <= MOST_NAMED:
        return listed(names)
    return f"{names[0]} and {counted(len(names) - 1, 'more crop', 'more crops')}"


def _sections(found: Sequence[Pressing], units: Units, is_spread: bool) -> Iterable[Section]:
    for topic in Topic:
        mine = [each for each in found if each.topic == topic]
        if mine:
            entries = cautions_once(_whys_once([_entry(each, units, is_spread) for each in mine]))
            yield Section(HEADINGS[topic], tuple(entries), lead=_lead(mine))


def _whys_once(entries: Iterable[Entry]) -> list[Entry]:
    """Of sowings of one kind, only the first gives the reason."""
    said: set[str] = set()
    told = []
    for entry in entries:
        told.append(replace(entry, why="") if entry.why in said else entry)
        said.add(entry.why)
    return told


def _lead(found: Sequence[Pressing]) -> str:
    """What the night is to be like: once for all the sowings under it, site by site."""
    words: list[str] = []
    for each in found:
        if each.night is None or each.line is None:
            continue
        if each.topic in FROST_TOPICS:
            cold = frost_line(each.night)
            words += [cold.text] if cold else []
        else:
            words += each.line.whys
    if any(each.topic == Topic.FROST for each in found):
        words.append(UNCOVER)
    return " ".join(dict.fromkeys(words))


def _entry(each: Pressing, units: Units, is_spread: bool) -> Entry:
    patch = each.sowing.patch
    crop, job = crop_of(each.sowing.crop), each.job
    entry = Entry(
        heading=sentence_case(crop.name_in_text),
        place=place(
            patch.plot.number,
            patch.bed.name if patch.bed else NO_BED,
            site=patch.plot.site.name if is_spread else "",
        ),
        when=_when(each),
        why=_own_why(each),
    )
    if job is None:
        return entry
    heading = job_title(job.kind, crop, job.values, units=units)
    entry = replace(entry, heading=heading, cautions=cautions_read(job.cautions))
    if each.topic == Topic.THIN:
        return entry
    return replace(
        entry,
        why=reason_read(job.rule, job.values, job.source, units=units),
        notes=notes_read(job.notes, units=units),
    )


def _own_why(each: Pressing) -> str:
    """Why this sowing wants it; what lies under a cover already needs no reason."""
    is_covered = each.topic == Topic.FROST and each.standing is not None and each.standing.is_covered
    if each.line is None or is_covered:
        return ""
    return each.line.why_of.get(each.sowing.pk, "").removesuffix(f" {UNCOVER}")


def _when(each: Pressing) -> str:
    standing = each.standing
    if each.topic != Topic.FROST or standing is None:
        return ""
    does = "It is under a cover already: keep it on" if standing.is_covered else ""
    lifts = f"or {standing.gather} it, if it is ready" if standing.is_to_lift else ""
    if does and lifts:
        return f"{does}, {lifts}."
    return f"{does or sentence_case(lifts)}." if does or lifts else ""
