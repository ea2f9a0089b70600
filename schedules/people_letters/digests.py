"""The committee's own letter: what waits for an answer, what went wrong, and where nothing is heard."""

from collections.abc import Iterator
from datetime import date, datetime

from django.conf import settings
from django.urls import reverse

from schedules.committee_digest import CommitteeDigest, SilentPlot, committee_digest
from schedules.letter_sections import Entry, Section
from schedules.letter_stopping import stop_line
from schedules.letter_stops import NotSent, living_member
from schedules.letter_wishes import wishes_of
from schedules.letter_wording import counted, listed, long_day, sentence_case, short_day
from schedules.models import Delivery
from schedules.people_letters.plain import Outgoing, Plain
from society import clock
from society.models import Invitation
from society.selectors import seated
from society.zones import zone

COMES = "This letter comes on Mondays to the members of the committee, when something waits."
ASK_FIRST = (
    "Nothing recorded may only mean that nobody wrote it down. Go and look, and ask kindly, before anybody "
    "is judged by it."
)


def digest_letter(delivery: Delivery, *, now: datetime) -> Outgoing:
    member = living_member(delivery)
    today = clock.local_date(now, zone(member.society.zone))
    if member.pk not in seated([member], on=today):
        raise NotSent("the member no longer sits on the committee")
    if not wishes_of(member).digest:
        raise NotSent("the member no longer wants this letter")
    if not member.email:
        raise NotSent("the member has no e-mail address any more")
    found = committee_digest(today=today, now=now)
    if found.is_empty:
        raise NotSent("nothing waits for the committee any more")
    plain = Plain(
        title=f"For the committee: {listed(_counts(found))}",
        greeting=f"Dear {member.name},",
        paragraphs=(f"This waited for the committee on {long_day(today)}.",),
        sections=tuple(_sections(found, today, now)),
        link=settings.PUBLIC_URL + reverse("committee"),
        link_says="The committee’s book",
        comes=COMES,
        stop=stop_line(kind=delivery.kind, member=member, reader=member),
        reader=member,
    )
    return Outgoing(plain.letter(), to=member.email, reader=member)


def _counts(found: CommitteeDigest) -> Iterator[str]:
    if found.offers:
        yield counted(len(found.offers), "offer that lapses", "offers that lapse")
    if found.invitations:
        yield counted(len(found.invitations), "invitation unanswered", "invitations unanswered")
    if found.letters or found.refused:
        yield counted(len(found.letters) + len(found.refused), "letter in trouble", "letters in trouble")
    if found.silent:
        yield counted(len(found.silent), "plot not heard of", "plots not heard of")


def _sections(found: CommitteeDigest, today: date, now: datetime) -> Iterator[Section]:
    offers = [
        _entry(
            f"Plot {offer.plot.number} at {offer.plot.site.name}, to {offer.entry.member.name}",
            _offer_words(offer.lapses_on, today),
        )
        for offer in found.offers
    ]
    if offers:
        yield Section("Offers that lapse", tuple(offers))
    invitations = [_entry(each.member.name, _invitation_words(each, now)) for each in found.invitations]
    if invitations:
        yield Section(
            "Invitations unanswered",
            tuple(invitations),
            lead="A new one can be sent from the growers’ pages.",
        )
    letters = [_entry(*_letter_words(each)) for each in found.letters]
    letters += [
        _entry(
            each.name,
            f"Mail servers refuse {each.email}; no weekly letter or notice goes there until it is set right.",
        )
        for each in found.refused
    ]
    if letters:
        yield Section("Letters in trouble", tuple(letters))
    silent = [_entry(_plot_words(each), _silence_words(each, today)) for each in found.silent]
    if silent:
        yield Section("Plots not heard of", tuple(silent), lead=ASK_FIRST)


def _entry(heading: str, why: str) -> Entry:
    return Entry(heading=heading, place="", when="", why=why)


def _offer_words(lapses_on: date, today: date) -> str:
    if lapses_on < today:
        return f"It lapsed on {short_day(lapses_on)} without an answer; the plot can be offered to the next."
    return f"It lapses after {long_day(lapses_on)}, and no answer is noted yet."


def _invitation_words(invitation: Invitation, now: datetime) -> str:
    sent = f"Sent on {short_day(invitation.made_at.date())} to {invitation.email}"
    if invitation.expires_at <= now:
        return f"{sent}; it ran out on {short_day(invitation.expires_at.date())}."
    return f"{sent}; it holds until {short_day(invitation.expires_at.date())}."


def _letter_words(letter: Delivery) -> tuple[str, str]:
    name = letter.member.name if letter.member else "someone"
    what = letter.title or letter.get_kind_display()
    why = f" {sentence_case(letter.last_error)}" if letter.last_error else ""
    return f"To {name}: {what}", f"{sentence_case(letter.get_state_display())}.{why}"


def _plot_words(silent: SilentPlot) -> str:
    held = f", {listed(silent.holders)}" if silent.holders else ""
    return f"Plot {silent.plot.number} at {silent.plot.site.name}{held}"


def _silence_words(silent: SilentPlot, today: date) -> str:
    since = (
        f"Nothing was recorded since {short_day(silent.last)}" if silent.last else "Nothing was ever recorded"
    )
    year = f" {silent.last.year}" if silent.last and silent.last.year != today.year else ""
    if not silent.late_jobs:
        return f"{since}{year}, and no crop is planned."
    jobs = counted(silent.late_jobs, "job is", "jobs are")
    return f"{since}{year}, and {jobs} more than a fortnight late."
