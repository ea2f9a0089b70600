"""Which letters fall due with a day: a standing in that begins or is over, and the committee's Monday."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Q

from schedules.committee_digest import committee_digest
from schedules.deliveries.rows import Row, rows_write
from schedules.deliveries.states import TOO_LATE
from schedules.letter_wishes import people_with_mail, wishes_of
from schedules.models import Delivery
from society import clock
from society.absence_selectors import open_absences
from society.models import Absence
from society.selectors import committee_members, the_society
from society.zones import zone

DAY = timedelta(days=1)
HOUR = 7
MONDAY = 0
DIGEST_SUBJECT = "digest"


def changes_over_plan(*, now: datetime) -> int:
    """On the first day of a standing in, and on the day after its last, both sides hear of it; new rows.

    Where somebody agreed on the first day itself, the letter about that has said it already.
    """
    house = _house()
    days = [day for day in _days_back(now, house) if _is_due(day, now, house)]
    if not days:
        return 0
    changes = Q(since__in=days) | Q(until__in=[day - DAY for day in days])
    rows = open_absences().filter(changes, accepted_at__isnull=False).select_related("member", "stand_in")
    found = [row for absence in rows for row in _changes(absence, days, house)]
    known = set(
        Delivery.objects.filter(kind=Delivery.Kind.STAND_IN, local_date__in=days).values_list(
            "member", "subject_key"
        )
    )
    return rows_write([row for row in found if (row.member.pk, row.subject_key) not in known], now=now)


def _changes(absence: Absence, days: list[date], house: ZoneInfo) -> Iterator[Row]:
    accepted = absence.accepted_at
    events = [("over", absence.until + DAY)]
    if accepted is not None and accepted.astimezone(house).date() < absence.since:
        events.append(("begins", absence.since))
    for event, day in events:
        if day not in days:
            continue
        for person in (absence.member, absence.stand_in):
            if person.is_active and person.email:
                yield Row(
                    person,
                    Delivery.Kind.STAND_IN,
                    f"stand-in-{absence.pk}-{event}",
                    local_date=day,
                    due_at=clock.instant_of(day, HOUR, house),
                )


def digests_plan(*, now: datetime) -> int:
    """On Mondays, the letter to each member of the committee who wants it, if there is anything to say."""
    house = _house()
    days = [day for day in _days_back(now, house) if day.weekday() == MONDAY and _is_due(day, now, house)]
    if not days:
        return 0
    day = days[0]
    known = set(
        Delivery.objects.filter(kind=Delivery.Kind.DIGEST, local_date=day).values_list("member", flat=True)
    )
    seats = committee_members(on=day).values("pk")
    people = [
        member
        for member in people_with_mail().filter(pk__in=seats)
        if wishes_of(member).digest and member.pk not in known
    ]
    if not people or committee_digest(today=clock.local_date(now, house), now=now).is_empty:
        return 0
    due_at = clock.instant_of(day, HOUR, house)
    rows = [Row(member, Delivery.Kind.DIGEST, DIGEST_SUBJECT, day, due_at) for member in people]
    return rows_write(rows, now=now)


def _house() -> ZoneInfo:
    society = the_society()
    return zone(society.zone if society else "UTC")


def _days_back(now: datetime, house: ZoneInfo) -> list[date]:
    today = clock.local_date(now, house)
    return [today - back * DAY for back in range(TOO_LATE.days + 1)]


def _is_due(day: date, now: datetime, house: ZoneInfo) -> bool:
    return now - TOO_LATE < clock.instant_of(day, HOUR, house) <= now
