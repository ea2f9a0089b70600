"""The society's book of members: entering them, correcting what is written of them, committee seats."""

from datetime import date, datetime
from typing import Any, TypedDict, Unpack

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from society import clock
from society.address_services import address_clear
from society.changes import Faults, note, refuse_stale, row_change, row_check
from society.models import Account, CommitteeSeat, Member, Society
from society.models.members import Units
from society.zones import zone


class MemberChanges(TypedDict, total=False):
    name: str
    email: str
    units: str
    joined_on: date


@transaction.atomic
def member_add(
    *,
    society: Society,
    name: str,
    email: str = "",
    joined_on: date,
    units: str = Units.METRIC,
    account: Account | None,
    now: datetime,
) -> Member:
    """Enter a member. Without an e-mail address their letters come on paper."""
    member = Member(
        society=society, name=_plain(name), email=_address(email), joined_on=joined_on, units=units
    )
    row_check(member)
    _refuse_future(joined_on, society, now)
    member.save()
    note(member, "member.added", account=account, now=now, joined_on=joined_on)
    return member


@transaction.atomic
def member_change(
    *,
    member: Member,
    version: int | None,
    account: Account | None,
    now: datetime,
    **changes: Unpack[MemberChanges],
) -> Member:
    """Correct what the book says of a member. The journal keeps that it changed, never the words."""
    fresh = Member.objects.select_for_update().select_related("society").get(pk=member.pk)
    refuse_stale(fresh, version)
    fields: dict[str, Any] = dict(changes)
    if "name" in changes:
        fields["name"] = _plain(changes["name"])
    if "email" in changes:
        fields["email"] = _address(changes["email"])
    if "joined_on" in changes:
        _refuse_future(changes["joined_on"], fresh.society, now)
    was = fresh.email
    changed = row_change(fresh, fields, action="member.changed", account=account, now=now)
    if changed.email != was:  # whatever was refused, it was another address
        address_clear(member=changed, account=account, now=now)
        changed.refresh_from_db()
    return changed


@transaction.atomic
def seat_begin(
    *, member: Member, office: str, since: date, account: Account | None, now: datetime
) -> CommitteeSeat:
    """Seat a member on the committee; whoever acts for them runs the society from that day."""
    fresh = Member.objects.select_for_update().select_related("society").get(pk=member.pk)
    faults = Faults()
    seat = CommitteeSeat(member=fresh, office=_plain(office), since=since)
    if not fresh.is_active:
        faults.add("member", f"{fresh.name} is no longer a member; take them up again first")
    if CommitteeSeat.objects.filter(_open_at(since), member=fresh).exists():
        faults.add("since", f"{fresh.name} has a seat then already; end that one first")
    if since < fresh.joined_on:
        faults.add("since", f"{fresh.name} joined on {fresh.joined_on}; give that day or a later one")
    faults.refuse()
    row_check(seat)
    seat.save()
    note(seat, "seat.begun", account=account, now=now, member=fresh.pk, since=since)
    return seat


@transaction.atomic
def seat_end(*, seat: CommitteeSeat, on: date, account: Account | None, now: datetime) -> CommitteeSeat:
    """End a seat today or on a day gone by. Somebody always stays on the committee."""
    fresh = CommitteeSeat.objects.select_for_update().select_related("member__society").get(pk=seat.pk)
    today = _today(fresh.member.society, now)
    faults = Faults()
    if fresh.until is not None:
        faults.add("on", f"this seat ended on {fresh.until} already")
    elif not fresh.since <= on <= today:
        faults.add("on", f"give a day from {fresh.since}, when it began, to today, {today}")
    others = CommitteeSeat.objects.filter(
        _open_at(today), since__lte=today, member__left_on__isnull=True, member__died_on__isnull=True
    )
    if not others.exclude(pk=fresh.pk).exists():
        faults.add("on", "this is the only seat that is taken; give somebody else one first")
    faults.refuse()
    fresh.until = on
    fresh.save(update_fields=["until"])
    note(fresh, "seat.ended", account=account, now=now, member=fresh.member_id, until=on)
    return fresh


def _open_at(day: date) -> Q:
    return Q(until__isnull=True) | Q(until__gt=day)


def _today(society: Society, now: datetime) -> date:
    return clock.local_date(now, zone(society.zone))


def _refuse_future(joined_on: date, society: Society, now: datetime) -> None:
    today = _today(society, now)
    if joined_on > today:
        raise ValidationError({"joined_on": f"{joined_on} is still to come; give a day up to today, {today}"})


def _plain(words: str) -> str:
    return " ".join(words.split())


def _address(email: str) -> str:
    return email.strip().lower()
