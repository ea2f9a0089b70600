"""Ending a tenancy: who is written to no longer, and what becomes of what stands in the ground."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db.models import QuerySet

from plots.changes import Faults, local_day, note, refuse_stale, row_change, site_held
from plots.endings import ENDING_WORDS, EndingWords
from plots.farewells import member_farewell
from plots.models import CoWorker, Plot, Sowing, Tenancy
from plots.selectors import plots_worked_by
from plots.sowing_ending import plan_drop, standing_clear
from plots.tenancy_services import holders_add
from society.models import Account, Member

TERMS = ("rent_due", "rent_paid_on", "deposit", "key_note")


@dataclass(frozen=True, slots=True)
class Ending:
    """What ending a tenancy did, and what is left to decide."""

    tenancy: Tenancy
    words: EndingWords
    continued: Tenancy | None = None
    passed_on: int = 0
    cleared: int = 0
    withdrawn: int = 0
    no_longer_written_to: tuple[int, ...] = ()
    still_working: tuple[Plot, ...] = ()


@dataclass(frozen=True, slots=True)
class _Wish:
    """Who of the holders goes, when and why, and who takes over what stands."""

    tenancy: Tenancy
    holders: list[Member]
    leaving: list[Member] | None
    on: date
    reason: str
    passed_to: Member | None
    died_on: date | None

    @property
    def going(self) -> list[Member]:
        return self.holders if self.leaving is None else self.leaving

    @property
    def staying(self) -> list[Member]:
        return [member for member in self.holders if member not in self.going]


def tenancy_end(
    *,
    tenancy: Tenancy,
    on: date,
    reason: str,
    leaving: Sequence[Member] | None = None,
    passed_to: Member | None = None,
    died_on: date | None = None,
    version: int | None = None,
    account: Account | None,
    now: datetime,
) -> Ending:
    """End a tenancy today or on a day gone by.

    1. Where only some of several tenants are ``leaving``, the others hold on in a new tenancy from that day,
       on the same terms, and what is in the ground stays theirs.
    2. Else what stands is passed on to a member, who works the plot from then on, or is cleared and its
       plans withdrawn; helpers' work ends with the tenancy.
    3. Who died, or has nothing left for the society to write about, is written to no longer.
    """
    site = tenancy.plot.site
    with site_held(site):
        fresh = Tenancy.objects.select_related("plot__site").get(pk=tenancy.pk)
        refuse_stale(fresh, version)
        holders = list(fresh.holders.order_by("pk"))
        going = None if leaving is None else list(leaving)
        wish = _Wish(fresh, holders, going, on, reason, passed_to, died_on)
        _refuse(wish, today=local_day(site, now))
        people = [member.pk for member in wish.going]
        row_change(
            fresh, {"until": on, "ended_because": reason}, action="tenancy.ended", account=account, now=now,
            values={"members": people},
        )  # fmt: skip
        if wish.staying:
            ending = Ending(fresh, ENDING_WORDS[reason], continued=_hold_on(wish, account=account, now=now))
        else:
            ending = _settle_ground(wish, account=account, now=now)
        return _take_leave(wish, ending, account=account, now=now)


def _refuse(wish: _Wish, *, today: date) -> None:
    faults, tenancy, on = Faults(), wish.tenancy, wish.on
    if wish.reason not in Tenancy.Ended.values:
        faults.add("reason", f"{wish.reason!r} is none of: {', '.join(Tenancy.Ended.values)}")
    if tenancy.until is not None:
        faults.add("on", f"this tenancy ended on {tenancy.until} already")
    elif not tenancy.since <= on <= today:
        faults.add(
            "on",
            f"give a day from {tenancy.since}, when it began, to today, {today}; record an end that is still "
            "to come on its day",
        )
    if not wish.going or any(member not in wish.holders for member in wish.going):
        faults.add("leaving", "name one or several of those who hold the plot")
    elif wish.reason == Tenancy.Ended.DEATH and wish.leaving is None and len(wish.holders) > 1:
        faults.add("leaving", "several members hold this plot together; say who died")
    to = wish.passed_to
    if to is not None and (not to.is_active or to in wish.going):
        faults.add("passed_to", f"{to.name} cannot take the crops over; name another member, or nobody")
    if wish.died_on is not None and wish.died_on > today:
        faults.add("died_on", f"{wish.died_on} is still to come; check the date, or leave it empty")
    faults.refuse()


def _hold_on(wish: _Wish, *, account: Account | None, now: datetime) -> Tenancy:
    """The tenants who stay, in a tenancy of their own on the same terms."""
    plot = wish.tenancy.plot
    terms = {name: getattr(wish.tenancy, name) for name in TERMS}
    continued = Tenancy.objects.create(plot=plot, since=wish.on, **terms)
    holders_add(continued, wish.staying)
    people = [member.pk for member in wish.staying]
    note(
        continued, "tenancy.continued", account=account, now=now, plot=plot.pk, members=people, since=wish.on
    )
    return continued


def _settle_ground(wish: _Wish, *, account: Account | None, now: datetime) -> Ending:
    """Pass on what is in the ground of a plot that nobody holds any more, or clear it."""
    plot, words = wish.tenancy.plot, ENDING_WORDS[wish.reason]
    helping = CoWorker.objects.filter(plot=plot, until__isnull=True, since__lte=wish.on)
    if wish.passed_to is not None:
        helping.exclude(member=wish.passed_to).update(until=wish.on)
        passed_on = _pass_on(plot, wish.passed_to, wish.on, account=account, now=now)
        return Ending(wish.tenancy, words, passed_on=passed_on)
    helping.update(until=wish.on)
    cleared = withdrawn = 0
    for sowing in _unfinished(plot).select_related("patch__site"):
        if sowing.state == Sowing.State.PLANNED:
            plan_drop(sowing, account=account, now=now)
            withdrawn += 1
        else:
            standing_clear(sowing, on=max(wish.on, sowing.sown_on or wish.on), account=account, now=now)
            cleared += 1
    return Ending(wish.tenancy, words, cleared=cleared, withdrawn=withdrawn)


def _pass_on(plot: Plot, to: Member, on: date, *, account: Account | None, now: datetime) -> int:
    """The crops are somebody's from this day: they get the plot's jobs, as one who helps on it."""
    if not plots_worked_by(to, on=on).filter(pk=plot.pk).exists():
        helper = CoWorker.objects.create(plot=plot, member=to, since=on)
        note(helper, "co_worker.added", account=account, now=now, plot=plot.pk, member=to.pk, since=on)
    return _unfinished(plot).update(planned_by=to)


def _unfinished(plot: Plot) -> QuerySet[Sowing]:
    return Sowing.objects.filter(patch__plot=plot, state__in=[Sowing.State.PLANNED, Sowing.State.SOWN])


def _take_leave(wish: _Wish, ending: Ending, *, account: Account | None, now: datetime) -> Ending:
    silent = [
        member.pk
        for member in wish.going
        if member_farewell(
            member=member, on=wish.on, reason=wish.reason, died_on=wish.died_on, account=account, now=now
        )
    ]
    working = tuple(plots_worked_by(wish.going, on=wish.on))
    return replace(ending, no_longer_written_to=tuple(silent), still_working=working)
