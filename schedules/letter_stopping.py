"""Stopping a kind of letter from the letter itself: by its link, or by a mail program's own button.

RFC 2369 names the header, RFC 8058 the one-click post. The link names the kind, the member and who read the
letter, is signed, and does not run out: nobody is to be told that they may not stop their letters any more.
"""

from dataclasses import dataclass

from django.conf import settings
from django.core.signing import BadSignature, Signer
from django.urls import reverse

from schedules.letter_wording import one_line
from schedules.models import Delivery
from society.absence_selectors import open_absences
from society.models import Absence, Member

SALT = "schedules.letter-stop"
Kind = Delivery.Kind
# What each kind is called where members choose their letters. Others are answers to somebody's own doing.
WISHES: dict[str, str] = {
    Kind.WEEKLY: "weekly",
    Kind.DAY_NOTE: "day_notes",
    Kind.NOTICE: "notices",
    Kind.DIGEST: "digest",
}
CALLED: dict[str, str] = {
    Kind.WEEKLY: "weekly letter",
    Kind.DAY_NOTE: "day notes",
    Kind.NOTICE: "urgent notices",
    Kind.DIGEST: "letter to the committee",
}


@dataclass(frozen=True, slots=True)
class Stop:
    """Which kind of letter somebody wants no more, about whose ground."""

    kind: str
    member: Member
    reader: Member

    @property
    def wish(self) -> str:
        return WISHES[self.kind]

    @property
    def called(self) -> str:
        return CALLED[self.kind]

    @property
    def standing_in(self) -> Absence | None:
        """The standing in that brings the letter, where it is about somebody else's ground."""
        if self.reader == self.member:
            return None
        return open_absences().filter(member=self.member, stand_in=self.reader).order_by("-since").first()


def stop_link(*, kind: str, member: int, reader: int) -> str:
    """The address that stops a kind of letter about a member's ground for whoever reads it."""
    token = Signer(salt=SALT).sign_object([kind, member, reader])
    return settings.PUBLIC_URL + reverse("letter-stop", args=[token])


@dataclass(frozen=True, slots=True)
class StopLine:
    """The link at the foot of a letter, and what it says."""

    says: str
    url: str


def stop_line(*, kind: str, member: Member, reader: Member) -> StopLine:
    """How whoever reads a letter of this kind gets no more of them; for the post only, never for paper."""
    says = (
        f"Stop the {CALLED[kind]}" if reader == member else f"Stand in for {one_line(member.name)} no longer"
    )
    return StopLine(says, stop_link(kind=kind, member=member.pk, reader=reader.pk))


def stop_headers(*, kind: str, member: int, reader: int) -> dict[str, str]:
    """The pair of headers of a letter that comes by itself; none for an answer to somebody's own doing."""
    if kind not in WISHES:
        return {}
    return {
        "List-Unsubscribe": f"<{stop_link(kind=kind, member=member, reader=reader)}>",
        "List-Unsubscribe-Post": "List-Unsubscribe=One-Click",
    }


def stop_of(token: str) -> Stop | None:
    """What a link stops; None when it was never one of ours."""
    try:
        kind, member_pk, reader_pk = Signer(salt=SALT).unsign_object(token)
        people = {each.pk: each for each in Member.objects.filter(pk__in={int(member_pk), int(reader_pk)})}
        return Stop(kind, people[member_pk], people[reader_pk]) if kind in WISHES else None
    except (BadSignature, ValueError, TypeError, KeyError):
        return None
