"""Writing no longer to members who died or went. Their ground keeps its record."""

from datetime import date, datetime
from typing import Any

from plots.changes import note
from plots.models import CoWorker, Tenancy, WaitingEntry
from plots.selectors import plots_worked_by
from society.models import Account, CommitteeSeat, Member

# After these a member with no ground, no seat and no place on a waiting list is a member no more.
GOING_REASONS = (Tenancy.Ended.LEFT, Tenancy.Ended.NOTICE)


def member_farewell(
    *, member: Member, on: date, reason: str, died_on: date | None, account: Account | None, now: datetime
) -> bool:
    """Stop what is sent to a member whose tenancy ended; True where nothing at all is sent any more."""
    if reason == Tenancy.Ended.DEATH:
        member_lay_down(member, on)
        member.died_on = member.died_on or died_on or on
        _keep(member, "died_on")
        note(
            member,
            "member.died",
            account=account,
            now=now,
            died_on=member.died_on,
            **_changed(member, "died_on"),
        )
        return True
    if reason in GOING_REASONS and not _is_concerned(member, on):
        member.left_on = on
        _keep(member, "left_on")
        note(member, "member.left", account=account, now=now, left_on=on, **_changed(member, "left_on"))
        return True
    return False


def member_lay_down(member: Member, on: date) -> None:
    """Everything a member does beside holding plots ends on a day: help, waiting, a seat."""
    CoWorker.objects.filter(member=member, until__isnull=True, since__lte=on).update(until=on)
    WaitingEntry.objects.filter(member=member, closed_on__isnull=True).update(closed_on=on)
    CommitteeSeat.objects.filter(member=member, until__isnull=True, since__lte=on).update(until=on)


def _keep(member: Member, field: str) -> None:
    member.version += 1
    member.save(update_fields=[field, "version"])


def _changed(member: Member, field: str) -> dict[str, Any]:
    return {"fields": [field], "version": member.version}


def _is_concerned(member: Member, on: date) -> bool:
    """Whether a member still works ground, is to hold some, sits on the committee or waits for a plot."""
    return (
        plots_worked_by(member, on=on).exists()
        or Tenancy.objects.filter(holders=member, until__isnull=True).exists()
        or CommitteeSeat.objects.filter(member=member, until__isnull=True).exists()
        or WaitingEntry.objects.filter(member=member, closed_on__isnull=True).exists()
    )
