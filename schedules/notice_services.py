"""What the committee tells everybody: a few plain words from one day to another."""

from datetime import date, datetime, timedelta
from typing import TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction

from plots.changes import local_day
from plots.models import Site
from schedules.models import Notice
from society.changes import Faults, note, refuse_stale, row_change, row_check
from society.models import Account

LONGEST_DAYS = 366


class NoticeChanges(TypedDict, total=False):
    text: str
    since: date
    until: date
    is_public: bool


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
) -> Notice:
    """Put a notice up. Only a public one reaches a screen; every one stands on the members' week page."""
    notice = Notice(site=site, text=_plain(text), since=since, until=until, is_public=is_public)
    row_check(notice)
    _refuse_days(since, until, today=local_day(site, now))
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
    return row_change(fresh, fields, action="notice.changed", account=account, now=now)


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
