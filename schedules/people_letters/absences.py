"""What a member and their stand-in hear of each other."""

from collections.abc import Callable
from datetime import datetime

from django.conf import settings
from django.urls import reverse

from schedules.letter_stops import NotSent, living_member
from schedules.letter_wording import short_day
from schedules.models import Delivery
from schedules.people_letters.plain import Outgoing, Plain
from society.absence_selectors import stand_in_for
from society.models import Absence, Member

WENT_OUT = (Delivery.State.SENT, Delivery.State.DOUBTFUL, Delivery.State.HANDED_OVER)


def absence_letter(delivery: Delivery, *, now: datetime) -> Outgoing:
    """The subject says which absence, and what has happened to it."""
    reader = living_member(delivery)
    pk, event = delivery.subject_key.removeprefix("stand-in-").split("-")
    absence = Absence.objects.select_related("member", "stand_in").filter(pk=int(pk)).first()
    if absence is None or AFTER[event] != _stands(absence):
        raise NotSent("it was settled otherwise meanwhile")
    if not reader.email:
        raise NotSent("the member has no e-mail address any more")
    title, sentences = WORDS[event](absence, reader)
    if event == "begins" and stand_in_for(absence.member, on=delivery.local_date) != absence.stand_in:
        if reader.pk != absence.member_id:
            raise NotSent("no letters go to whoever was to stand in")
        title, sentences = _nobody(absence)
    plain = Plain(
        title=title,
        greeting=f"Dear {reader.name},",
        paragraphs=sentences,
        link=settings.PUBLIC_URL + reverse("away"),
        link_says="The page about being away",
        reader=reader,
    )
    return Outgoing(plain.letter(), to=reader.email, follows=_earlier(delivery), reader=reader)


def _earlier(delivery: Delivery) -> str:
    """The Message-ID of the last letter to the same reader about the same absence."""
    same = delivery.subject_key.rpartition("-")[0]
    rows = Delivery.objects.filter(
        member=delivery.member_id, kind=delivery.kind, subject_key__startswith=f"{same}-", state__in=WENT_OUT
    )
    ids = rows.exclude(pk=delivery.pk).order_by("-due_at", "-pk").values_list("message_id", flat=True)
    return ids.first() or ""


def _stands(absence: Absence) -> str:
    if absence.ended_at is not None:
        return "ended"
    if absence.declined_at is not None:
        return "declined"
    return "accepted" if absence.accepted_at is not None else "asked"


def _days(absence: Absence) -> str:
    if absence.since == absence.until:
        return f"on {short_day(absence.since)}"
    return f"from {short_day(absence.since)} to {short_day(absence.until)}"


def _asked(absence: Absence, reader: Member) -> tuple[str, tuple[str, ...]]:
    name = absence.member.name
    return f"{name} asks you to stand in", (
        f"{name} is away {_days(absence)} and asks you to read the letters about their ground "
        "meanwhile, and to do what cannot wait.",
        "Nothing comes to you unless you agree. Say yes or no on this page:",
    )


def _accepted(absence: Absence, reader: Member) -> tuple[str, tuple[str, ...]]:
    if reader.pk == absence.member_id:
        name = absence.stand_in.name
        return f"{name} stands in for you", (
            f"{name} has agreed to stand in {_days(absence)}. On these days your letters go there, "
            "not to you.",
            "If you come back early, end it on this page:",
        )
    name = absence.member.name
    return f"You stand in for {name}", (
        f"You agreed to stand in for {name} {_days(absence)}. On these days you get the letters "
        "about their ground.",
        "If you cannot after all, end it on this page, so that the letters go back:",
    )


def _declined(absence: Absence, reader: Member) -> tuple[str, tuple[str, ...]]:
    name = absence.stand_in.name
    return f"{name} cannot stand in for you", (
        f"{name} cannot stand in {_days(absence)}. Your letters go on coming to you.",
        "You can ask somebody else on this page:",
    )


def _ended(absence: Absence, reader: Member) -> tuple[str, tuple[str, ...]]:
    if reader.pk == absence.member_id:
        return "Your letters come to you again", (
            f"{absence.stand_in.name} does not stand in {_days(absence)}, or no longer. Letters about "
            "your ground come to you.",
        )
    name = absence.member.name
    return f"You need not stand in for {name}", (
        f"{name} no longer needs you {_days(absence)}. Letters about their ground do not come to you.",
    )


def _begins(absence: Absence, reader: Member) -> tuple[str, tuple[str, ...]]:
    last = short_day(absence.until)
    if reader.pk == absence.member_id:
        name = absence.stand_in.name
        return f"From today {name} reads your letters", (
            f"You are away until {last}. Letters about your ground go to {name}, not to you.",
            "If you are not away after all, end it on this page:",
        )
    name = absence.member.name
    return f"From today you stand in for {name}", (
        f"{name} is away until {last}. Letters about their ground come to you now, with their name at the "
        "head of each.",
        "If you cannot after all, end it on this page, so that the letters go back:",
    )


def _nobody(absence: Absence) -> tuple[str, tuple[str, ...]]:
    """What the member hears who is away from today, where no letters can go to the stand-in."""
    return "Nobody reads your letters while you are away", (
        f"{absence.stand_in.name} cannot be written to at present, so letters about your ground go on coming "
        f"to you, also until {short_day(absence.until)}.",
        "End it and ask somebody else on this page:",
    )


def _over(absence: Absence, reader: Member) -> tuple[str, tuple[str, ...]]:
    if reader.pk == absence.member_id:
        return "Your letters come to you again", (
            f"{absence.stand_in.name} read them until yesterday. From today they come to you.",
            "If you stay away longer, ask again on this page:",
        )
    name = absence.member.name
    return f"You no longer stand in for {name}", (
        f"Letters about the ground of {name} go to them again from today.",
        "Who stands in for whom is on this page:",
    )


# What has to hold still when a letter about an event is written.
AFTER = {
    "asked": "asked", "accepted": "accepted", "declined": "declined", "ended": "ended",
    "begins": "accepted", "over": "accepted",
}  # fmt: skip
WORDS: dict[str, Callable[[Absence, Member], tuple[str, tuple[str, ...]]]] = {
    "asked": _asked,
    "accepted": _accepted,
    "declined": _declined,
    "ended": _ended,
    "begins": _begins,
    "over": _over,
}
