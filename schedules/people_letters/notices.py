"""The committee's urgent notices as letters, each its own subject."""

from datetime import datetime

from django.conf import settings
from django.urls import reverse

from schedules.letter_stopping import stop_line
from schedules.letter_stops import NotSent
from schedules.letter_wording import long_day, one_line
from schedules.models import Delivery, Notice
from schedules.people_letters.plain import Outgoing, Plain
from society import clock
from society.models import Member
from society.zones import zone

TITLE_LENGTH = 90
COMES = "A letter like this comes when the committee has something to say that cannot wait."
WENT_OUT = (Delivery.State.SENT, Delivery.State.DOUBTFUL, Delivery.State.HANDED_OVER)


def notice_letter(delivery: Delivery, *, member: Member, reader: Member, now: datetime) -> Outgoing:
    """To a member, or to whoever stands in for them unless they are told as well."""
    notice, is_newest = _notice(delivery)
    if notice is None or not notice.is_urgent or not is_newest:
        raise NotSent("it was taken back, or says something else now")
    if notice.until < clock.local_date(now, zone(notice.site.zone)):
        raise NotSent("the notice has come down")
    if reader.pk != member.pk and _is_told(reader, delivery):
        raise NotSent("whoever stands in is told the same")
    before = _earlier(delivery)
    away = one_line(member.name) if reader.pk != member.pk else ""
    paragraphs = [notice.text, f"This is about {notice.site.name}. The notice stands until {_day(notice)}."]
    if away:
        paragraphs.append(f"{away} is away, and you said that you would stand in.")
    if before is not None:
        paragraphs.append(f"It takes the place of what was said on {long_day(before.local_date)}.")
    plain = Plain(
        title=f"{f'For {away}: urgent' if away else 'Urgent'}, from the committee: {_short(notice.text)}",
        greeting=f"Dear {reader.name},",
        paragraphs=tuple(paragraphs),
        link=settings.PUBLIC_URL + reverse("this-week"),
        link_says="All notices stand on the page of the week.",
        comes=COMES,
        stop=stop_line(kind=delivery.kind, member=member, reader=reader),
        reader=reader,
    )
    follows = before.message_id if before else ""
    return Outgoing(plain.letter(), to=reader.email, follows=follows, reader=reader)


def _notice(delivery: Delivery) -> tuple[Notice | None, bool]:
    """The notice, and whether it still says what it said when the letter fell due."""
    pk, stamp = delivery.subject_key.removeprefix("notice-").split("-")
    notice = Notice.objects.select_related("site").filter(pk=int(pk)).first()
    at = notice.letters_at if notice else None
    return notice, at is not None and f"{at:%Y%m%d%H%M%S}" == stamp


def _earlier(delivery: Delivery) -> Delivery | None:
    """The last letter about the same notice to the same member, as it read before."""
    same = delivery.subject_key.rpartition("-")[0]
    rows = Delivery.objects.filter(
        member=delivery.member_id, kind=delivery.kind, subject_key__startswith=f"{same}-", state__in=WENT_OUT
    )
    return rows.exclude(pk=delivery.pk).order_by("-due_at", "-pk").first()


def _is_told(reader: Member, delivery: Delivery) -> bool:
    rows = Delivery.objects.filter(member=reader, kind=delivery.kind, subject_key=delivery.subject_key)
    return rows.exclude(state=Delivery.State.MISSED).exists()


def _day(notice: Notice) -> str:
    return long_day(notice.until)


def _short(text: str) -> str:
    words = one_line(text)
    if len(words) <= TITLE_LENGTH:
        return words
    return f"{words[:TITLE_LENGTH].rpartition(' ')[0] or words[:TITLE_LENGTH]} …"
