"""What the committee tells everybody: a few plain words from one day to another."""

from datetime import date, datetime, timedelta
from typing import TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction

from plots.changes import local_day
from plots.models import Site
from schedules.models import Notice
from society import clock
from society.changes import Faults, note, refuse_stale, row_change, row_check
from society.models import Account
from society.zones import zone

LONGEST_DAYS = 366
FIRST_DAY_HOUR = 7


class NoticeChanges(TypedDict, total=False):
    text: str
    since: date
    until: date
    is_public: bool
    is_urgent: bool


@transaction.atomic
def notice_make(
    *,
    site: Site,
    text: str,
    since: date,
    until: date,
    is_public: bool,
    account: Account | None,
    now: datetime,
    is_urgent: bool = False,
) -> Notice:
    """Put a notice up. Only a public one reaches a screen; every one stands on the members' week page.

    An urgent one is also told by letter to everybody who works on the site, at once or on its first day.
    """
    notice = Notice(
        site=site, text=_plain(text), since=since, until=until, is_public=is_public, is_urgent=is_urgent
    )
    row_check(notice)
    _refuse_days(since, until, today=local_day(site, now))
    notice.letters_at = _letters_at(site, since, now=now) if is_urgent else None
    notice.save()
    note(notice, "notice.made", account=account, now=now, site=site.pk, since=since, until=until)
    return notice


@transaction.atomic
def notice_change(
    *,
    notice: Notice,
    version: int | None,
    account: Account | None,
    now: datetime,
    **changes: Unpack[NoticeChanges],
) -> Notice:
    """Change a notice's words, days or readers."""
    fresh = _fresh(notice)
    refuse_stale(fresh, version)
    fields = dict(changes)
    if "text" in changes:
        fields["text"] = _plain(changes["text"])
    since, until = changes.get("since", fresh.since), changes.get("until", fresh.until)
    _refuse_days(since, until, today=local_day(fresh.site, now))
    before = (fresh.is_urgent, fresh.text, fresh.since)
    changed = row_change(fresh, fields, action="notice.changed", account=account, now=now)
    _letters_set(changed, before, now=now)
    return changed


def _letters_set(notice: Notice, before: tuple[bool, str, date], *, now: datetime) -> None:
    """Tell an urgent notice anew when it says something else or begins on another day; a calm one never."""
    if not notice.is_urgent:
        notice.letters_at = None
    elif before != (True, notice.text, notice.since):
        notice.letters_at = _letters_at(notice.site, notice.since, now=now)
    notice.save(update_fields=["letters_at"])


def _letters_at(site: Site, since: date, *, now: datetime) -> datetime:
    """At once, or at seven in the morning of its first day."""
    return (
        max(now, clock.instant_of(since, FIRST_DAY_HOUR, zone(site.zone)))
        if since > local_day(site, now)
        else now
    )


@transaction.atomic
def notice_end(
    *, notice: Notice, version: int | None = None, account: Account | None, now: datetime
) -> Notice:
    """Take a notice down at once: yesterday was its last day."""
    fresh = _fresh(notice)
    refuse_stale(fresh, version)
    yesterday = local_day(fresh.site, now) - timedelta(days=1)
    if fresh.until <= yesterday:
        raise ValidationError({"notice": f"it came down after {fresh.until} already"})
    return row_change(fresh, {"until": yesterday}, action="notice.ended", account=account, now=now)


def _fresh(notice: Notice) -> Notice:
    return Notice.objects.select_for_update().select_related("site").get(pk=notice.pk)


def _refuse_days(since: date, until: date, *, today: date) -> None:
    faults = Faults()
    if until < since:
        faults.add("until", f"it begins on {since}; give that day or a later one")
    elif until < today:
        faults.add("until", f"that day is over; give today, {today}, or a later one")
    elif (until - since).days > LONGEST_DAYS:
        faults.add("until", "a notice stands for a year at most; give an earlier day and renew it then")
    faults.refuse()


def _plain(text: str) -> str:
    return " ".join(text.split())
