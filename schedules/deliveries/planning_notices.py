"""Which of the committee's urgent notices are to be told by letter."""

from collections.abc import Iterator
from datetime import datetime

from schedules.deliveries.rows import Row, rows_write
from schedules.deliveries.states import TOO_LATE
from schedules.letter_quiet import after_quiet
from schedules.letter_wishes import ground_of, people_with_mail, wishes_of
from schedules.models import Delivery, Notice
from society import clock
from society.absence_selectors import stand_ins_for
from society.zones import zone


def notices_plan(*, now: datetime) -> int:
    """Write down the letters of urgent notices whose hour has come; returns how many are new."""
    due = Notice.objects.filter(is_urgent=True, letters_at__lte=now, letters_at__gt=now - TOO_LATE)
    rows = [row for notice in due.select_related("site") for row in _rows(notice, now)]
    return rows_write(rows, now=now)


def notice_subject(notice: Notice) -> str:
    """Which notice, and since when it says what it says: told anew, it is another letter."""
    return f"notice-{notice.pk}-{notice.letters_at:%Y%m%d%H%M%S}"


def _rows(notice: Notice, now: datetime) -> Iterator[Row]:
    """Everybody who works on the site and wants notices; quiet hours are those of whoever reads it."""
    assert notice.letters_at is not None
    today = clock.local_date(now, zone(notice.site.zone))
    day = clock.local_date(notice.letters_at, zone(notice.site.zone))
    subject = notice_subject(notice)
    if notice.until < today:
        return
    known = set(
        Delivery.objects.filter(kind=Delivery.Kind.NOTICE, subject_key=subject).values_list(
            "member", flat=True
        )
    )
    people = list(people_with_mail())
    ground = ground_of(people, on=today)
    members = [
        member
        for member in people
        if member.pk not in known
        and wishes_of(member).notices
        and notice.site_id in ground[member.pk].site_zones
    ]
    readers = stand_ins_for(members, on=today)
    for member in members:
        reader = readers.get(member.pk, member)
        quiet_until = after_quiet(now, wishes_of(reader), ground[reader.pk].zone(reader))
        yield Row(member, Delivery.Kind.NOTICE, subject, day, notice.letters_at, quiet_until)
