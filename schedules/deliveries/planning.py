"""Writing down which letters fall due. Nothing is sent from here, and running it again is free."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.conf import settings
from django.db import transaction
from django.db.models import Min

from plots.models import Plot, Site
from schedules.deliveries.states import TOO_LATE, State
from schedules.letter_wishes import Ground, ground_of, wishes_of
from schedules.models import Delivery, DeliveryStep
from schedules.selectors import open_jobs
from schedules.site_days import site_days_keep
from society import clock
from society.models import LetterPreference, Member

WEEK = timedelta(days=7)
WEEKLY_SUBJECT = "week"


@dataclass(frozen=True, slots=True)
class Falling:
    """A weekly letter whose hour has come."""

    member: Member
    ground: Ground
    local_date: date
    due_at: datetime


def deliveries_plan(*, now: datetime) -> int:
    """Write down every weekly letter that fell due in the last 48 hours; returns how many are new."""
    falling = list(_falling(now))
    if not falling:
        return 0
    first_starts = _first_starts(plot for letter in falling for plot in letter.ground.plots)
    wanted = [letter for letter in falling if _says_something(letter, first_starts, now)]
    _keep_site_days(wanted, now=now)
    return _write(wanted, now=now)


def _falling(now: datetime) -> Iterator[Falling]:
    members = list(
        Member.objects.filter(left_on__isnull=True, died_on__isnull=True, email_refused_at__isnull=True)
        .exclude(email="")
        .select_related("society", "letters_wanted")
    )
    ground = ground_of(members, on=now.date())
    known = set(
        Delivery.objects.filter(
            kind=Delivery.Kind.WEEKLY,
            subject_key=WEEKLY_SUBJECT,
            local_date__gte=now.date() - WEEK,
        ).values_list("member_id", "local_date")
    )
    for member in members:
        wishes = wishes_of(member)
        if not wishes.weekly or member.pk not in ground:
            continue
        for day, due_at in _hours_that_came(wishes, ground[member.pk].zone(member), now):
            if (member.pk, day) not in known:
                yield Falling(member, ground[member.pk], day, due_at)


def _hours_that_came(
    wishes: LetterPreference, zone: ZoneInfo, now: datetime
) -> Iterator[tuple[date, datetime]]:
    today = clock.local_date(now, zone)
    for back in range(TOO_LATE.days + 2):  # a local day may begin most of a day before or after UTC's
        day = today - timedelta(days=back)
        if day.weekday() == wishes.weekday:
            due_at = clock.instant_of(day, wishes.hour, zone)
            if now - TOO_LATE < due_at <= now:
                yield day, due_at


def _first_starts(plots: Iterable[int]) -> dict[int, date]:
    """By plot, the day on which its first open job begins."""
    jobs = open_jobs(Plot.objects.filter(pk__in=set(plots))).order_by().values("sowing__patch__plot")
    return dict(jobs.annotate(first=Min("start_on")).values_list("sowing__patch__plot", "first"))


def _says_something(letter: Falling, first_starts: dict[int, date], now: datetime) -> bool:
    if wishes_of(letter.member).weekly_when_empty:
        return True
    end = clock.local_date(now, letter.ground.zone(letter.member)) + WEEK
    return any(first_starts.get(plot, end) < end for plot in letter.ground.plots)


def _keep_site_days(letters: Iterable[Falling], *, now: datetime) -> None:
    """What a letter says of a site is the same in all of a day: work it out once, before they are written."""
    sites: dict[date, set[int]] = defaultdict(set)
    for letter in letters:
        sites[clock.local_date(now, letter.ground.zone(letter.member))].update(letter.ground.site_zones)
    for day, keys in sites.items():
        site_days_keep(Site.objects.filter(pk__in=keys), today=day, now=now)


@transaction.atomic
def _write(letters: list[Falling], *, now: datetime) -> int:
    rows = [_row(letter) for letter in letters]
    Delivery.objects.bulk_create(rows, ignore_conflicts=True)
    # Rows that another planner wrote first were ignored; only those that landed get their first step.
    landed = Delivery.objects.filter(key__in=[row.key for row in rows]).values_list("pk", flat=True)
    steps = [DeliveryStep(delivery_id=pk, at=now, state=State.DUE) for pk in landed]
    DeliveryStep.objects.bulk_create(steps)
    return len(steps)


def _row(letter: Falling) -> Delivery:
    key = uuid4()
    return Delivery(
        key=key,
        member=letter.member,
        kind=Delivery.Kind.WEEKLY,
        subject_key=WEEKLY_SUBJECT,
        local_date=letter.local_date,
        due_at=letter.due_at,
        not_before=letter.due_at,
        message_id=f"<{key}@{settings.MAIL_DOMAIN}>",
    )
