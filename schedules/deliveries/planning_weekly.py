"""Which weekly letters fall due."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Max, Min

from plots.models import Plot, Site
from schedules.deliveries.rows import Row, rows_write
from schedules.deliveries.states import TOO_LATE
from schedules.letter_wishes import Ground, ground_of, people_with_mail, wishes_of
from schedules.models import Delivery
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


def weekly_plan(*, now: datetime) -> int:
    """Write down every weekly letter that fell due in the last 48 hours; returns how many are new."""
    falling = list(_falling(now))
    if not falling:
        return 0
    first_starts = _first_starts(plot for letter in falling for plot in letter.ground.plots)
    wanted = [letter for letter in falling if _says_something(letter, first_starts, now)]
    _keep_site_days(wanted, now=now)
    return rows_write([_row(letter) for letter in wanted], now=now)


def _falling(now: datetime) -> Iterator[Falling]:
    members = list(people_with_mail())
    ground = ground_of(members, on=now.date())
    rows = Delivery.objects.filter(
        kind=Delivery.Kind.WEEKLY, subject_key=WEEKLY_SUBJECT, local_date__gte=now.date() - WEEK
    )
    latest = dict(rows.order_by().values("member").annotate(on=Max("local_date")).values_list("member", "on"))
    for member in members:
        wishes = wishes_of(member)
        if not wishes.weekly or member.pk not in ground:
            continue
        for day, due_at in _hours_that_came(wishes, ground[member.pk].zone(member), now):
            # Whoever chose an earlier day since has had the letter of that week already.
            if day > latest.get(member.pk, date.min):
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


def _row(letter: Falling) -> Row:
    return Row(letter.member, Delivery.Kind.WEEKLY, WEEKLY_SUBJECT, letter.local_date, letter.due_at)
