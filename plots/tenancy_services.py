"""Letting plots, and who else works them."""

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet

from plots.changes import Faults, local_day, note, refuse_stale, row_change, row_check, site_held
from plots.models import CoWorker, Plot, Tenancy, TenancyHolder, WaitingEntry
from plots.plot_services import plot_refuse_given_up
from society.models import Account, Member


def tenancy_begin(
    *,
    plot: Plot,
    members: Sequence[Member],
    since: date,
    rent_due: Decimal | None = None,
    deposit: Decimal | None = None,
    key_note: str = "",
    account: Account | None,
    now: datetime,
) -> Tenancy:
    """Let a vacant plot to one member, or to several together; they wait for that site no longer."""
    with site_held(plot.site):
        plot = Plot.objects.select_related("site").get(pk=plot.pk)
        plot_refuse_given_up(plot, since)
        _refuse_tenants(plot, members)
        _refuse_occupied(plot, since)
        tenancy = Tenancy(
            plot=plot, since=since, rent_due=rent_due, deposit=deposit, key_note=key_note.strip()
        )
        row_check(tenancy)
        tenancy.save()
        holders_add(tenancy, members)
        waiting = WaitingEntry.objects.filter(site=plot.site, member__in=members, closed_on__isnull=True)
        waiting.filter(asked_on__lte=since).update(closed_on=since)
        _helping(plot, members, since).update(until=since)  # who holds a plot helps on it no longer
        people = [member.pk for member in members]
        note(tenancy, "tenancy.begun", account=account, now=now, plot=plot.pk, members=people, since=since)
    return tenancy


def rent_note(
    *,
    tenancy: Tenancy,
    paid_on: date | None,
    version: int | None = None,
    account: Account | None,
    now: datetime,
) -> Tenancy:
    """Note the day on which the rent was paid; None takes a mistaken note back."""
    site = tenancy.plot.site
    with site_held(site):
        fresh = Tenancy.objects.get(pk=tenancy.pk)
        refuse_stale(fresh, version)
        today = local_day(site, now)
        if paid_on is not None and paid_on > today:
            raise ValidationError({"paid_on": f"{paid_on} is still to come; give the day it was paid"})
        return row_change(
            fresh, {"rent_paid_on": paid_on}, action="tenancy.rent_noted", account=account, now=now
        )


def co_worker_add(
    *, plot: Plot, member: Member, since: date, account: Account | None, now: datetime
) -> CoWorker:
    """Let a member work a plot without holding it: the plot's jobs are in their letters from that day."""
    with site_held(plot.site):
        plot = Plot.objects.select_related("site").get(pk=plot.pk)
        plot_refuse_given_up(plot, since)
        _refuse_tenants(plot, [member], field="member")
        if TenancyHolder.objects.filter(
            open_at(since, "tenancy__"), tenancy__plot=plot, member=member
        ).exists():
            raise ValidationError(
                {"member": f"{member.name} holds plot {plot.number}; nothing needs to be added"}
            )
        if CoWorker.objects.filter(open_at(since), plot=plot, member=member).exists():
            raise ValidationError({"member": f"{member.name} helps on plot {plot.number} already"})
        helper = CoWorker.objects.create(plot=plot, member=member, since=since)
        note(helper, "co_worker.added", account=account, now=now, plot=plot.pk, member=member.pk, since=since)
    return helper


def co_worker_end(*, co_worker: CoWorker, on: date, account: Account | None, now: datetime) -> CoWorker:
    """End a member's help on a plot. Letters about the plot stop on that day."""
    site = co_worker.plot.site
    with site_held(site):
        fresh = CoWorker.objects.get(pk=co_worker.pk)
        today = local_day(site, now)
        if fresh.until is not None:
            raise ValidationError({"on": f"this help ended on {fresh.until} already"})
        if not fresh.since <= on <= today:
            raise ValidationError({"on": f"give a day from {fresh.since}, when it began, to today, {today}"})
        fresh.until = on
        fresh.save(update_fields=["until"])
        note(
            fresh,
            "co_worker.ended",
            account=account,
            now=now,
            plot=fresh.plot_id,
            member=fresh.member_id,
            until=on,
        )
    return fresh


def holders_add(tenancy: Tenancy, members: Sequence[Member]) -> None:
    TenancyHolder.objects.bulk_create(TenancyHolder(tenancy=tenancy, member=member) for member in members)


def open_at(day: date, prefix: str = "") -> Q:
    """Rows that have not ended by a day, whether or not they have begun."""
    return Q(**{f"{prefix}until__isnull": True}) | Q(**{f"{prefix}until__gt": day})


def _helping(plot: Plot, members: Sequence[Member], since: date) -> QuerySet[CoWorker]:
    return CoWorker.objects.filter(plot=plot, member__in=members, until__isnull=True, since__lte=since)


def _refuse_tenants(plot: Plot, members: Sequence[Member], *, field: str = "members") -> None:
    faults = Faults()
    if not members:
        faults.add(field, "name at least one member who is to hold the plot")
    if len({member.pk for member in members}) < len(members):
        faults.add(field, "one member is named twice; name each tenant once")
    for member in members:
        if not member.is_active:
            faults.add(
                field, f"{member.name} is no longer a member; take them up again first, or name another"
            )
        if member.society_id != plot.site.society_id:
            faults.add(field, f"{member.name} belongs to another society; name a member of this one")
    faults.refuse()


def _refuse_occupied(plot: Plot, since: date) -> None:
    other = Tenancy.objects.filter(open_at(since), plot=plot).order_by("since").first()
    if other is None:
        return
    end = f"until {other.until}" if other.until else f"since {other.since}"
    remedy = "end that tenancy first" if other.until is None else "give that day or a later one"
    raise ValidationError({"plot": f"plot {plot.number} is held by somebody else {end}; {remedy}"})
