"""Members who go, and members who are taken up again. Their ground keeps its record."""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from plots.changes import Faults, note, refuse_stale
from plots.farewells import member_farewell, member_lay_down
from plots.models import Tenancy
from society import clock
from society.models import Account, Member
from society.zones import zone

LEFT, DIED = "left", "death"


@transaction.atomic
def member_go(
    *,
    member: Member,
    on: date,
    reason: str,
    version: int | None = None,
    account: Account | None,
    now: datetime,
) -> Member:
    """Note that a member left the society or died; help, waiting and seats end, and so does every letter."""
    fresh = Member.objects.select_for_update().select_related("society").get(pk=member.pk)
    refuse_stale(fresh, version)
    _refuse(fresh, on, reason, today=clock.local_date(now, zone(fresh.society.zone)))
    if reason == LEFT:
        member_lay_down(fresh, on)
    member_farewell(member=fresh, on=on, reason=reason, died_on=None, account=account, now=now)
    return fresh


@transaction.atomic
def member_take_up(
    *, member: Member, version: int | None = None, account: Account | None, now: datetime
) -> Member:
    """Take back that a member left or died: a slip, or somebody who came back."""
    fresh = Member.objects.select_for_update().get(pk=member.pk)
    refuse_stale(fresh, version)
    if fresh.is_active:
        raise ValidationError({"member": f"{fresh.name} is a member already"})
    fresh.left_on = fresh.died_on = None
    fresh.version += 1
    fresh.save(update_fields=["left_on", "died_on", "version"])
    fields = ["died_on", "left_on"]
    note(fresh, "member.taken_up", account=account, now=now, fields=fields, version=fresh.version)
    return fresh


def _refuse(member: Member, on: date, reason: str, *, today: date) -> None:
    faults = Faults()
    if reason not in {LEFT, DIED}:
        faults.add("reason", f"{reason!r} is neither {LEFT} nor {DIED}")
    if not member.is_active:
        faults.add("member", f"{member.name} is no longer a member already")
    if not member.joined_on <= on <= today:
        faults.add("on", f"give a day from {member.joined_on}, when they joined, to today, {today}")
    held = Tenancy.objects.filter(Q(until__isnull=True) | Q(until__gt=on), holders=member)
    for tenancy in held.select_related("plot"):
        faults.add(
            "member",
            f"{member.name} holds plot {tenancy.plot.number}; end that tenancy first, on its own page",
        )
    faults.refuse()
