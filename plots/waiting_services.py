"""The waiting list of a site, and offering vacant plots to those on it."""

from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db.models import Q

from plots.changes import Faults, local_day, note, site_held
from plots.models import Plot, PlotOffer, Site, Tenancy, WaitingEntry
from plots.plot_services import plot_refuse_given_up
from plots.tenancy_services import open_at, tenancy_begin
from society.models import Account, Member

ACCEPTED, DECLINED = "yes", "no"
ANSWERS = (ACCEPTED, DECLINED)


def waiting_add(
    *, site: Site, member: Member, asked_on: date, account: Account | None, now: datetime
) -> WaitingEntry:
    """Put a member on a site's waiting list, in the order of the days on which they asked."""
    with site_held(site):
        faults = Faults()
        if not member.is_active:
            faults.add("member", f"{member.name} is no longer a member; take them up again first")
        if member.society_id != site.society_id:
            faults.add("member", f"{member.name} belongs to another society; name a member of this one")
        if WaitingEntry.objects.filter(site=site, member=member, closed_on__isnull=True).exists():
            faults.add("member", f"{member.name} is on the waiting list of {site.name} already")
        if asked_on > local_day(site, now):
            faults.add("asked_on", f"{asked_on} is still to come; give the day on which they asked")
        faults.refuse()
        entry = WaitingEntry.objects.create(site=site, member=member, asked_on=asked_on)
        note(entry, "waiting.added", account=account, now=now, site=site.pk, member=member.pk)
    return entry


def waiting_close(*, entry: WaitingEntry, on: date, account: Account | None, now: datetime) -> WaitingEntry:
    """Take an entry off the list."""
    with site_held(entry.site):
        fresh = WaitingEntry.objects.get(pk=entry.pk)
        if fresh.closed_on is not None:
            raise ValidationError({"on": f"this entry was closed on {fresh.closed_on} already"})
        if on < fresh.asked_on:
            raise ValidationError({"on": f"they asked on {fresh.asked_on}; give that day or a later one"})
        fresh.closed_on = on
        fresh.save(update_fields=["closed_on"])
        note(fresh, "waiting.closed", account=account, now=now, member=fresh.member_id, on=on)
    return fresh


def offer_make(
    *,
    entry: WaitingEntry,
    plot: Plot,
    made_on: date,
    lapses_on: date,
    account: Account | None,
    now: datetime,
) -> PlotOffer:
    """Offer a vacant plot to somebody on the list until a day; a plot is offered to one at a time."""
    with site_held(entry.site):
        plot = Plot.objects.select_related("site").get(pk=plot.pk)
        entry = WaitingEntry.objects.select_related("member").get(pk=entry.pk)
        plot_refuse_given_up(plot, made_on)
        faults = Faults()
        if entry.closed_on is not None:
            faults.add("entry", f"{entry.member.name} no longer waits; choose another entry")
        if plot.site_id != entry.site_id:
            faults.add(
                "plot", f"plot {plot.number} is on another site than the list; choose one of this site"
            )
        if Tenancy.objects.filter(open_at(made_on), plot=plot).exists():
            faults.add("plot", f"plot {plot.number} is held by somebody; end the tenancy first")
        if PlotOffer.objects.filter(Q(lapses_on__gte=made_on), plot=plot, answer="").exists():
            faults.add("plot", f"plot {plot.number} is offered to somebody already; wait for the answer")
        if lapses_on <= made_on:
            faults.add("lapses_on", f"give a day after {made_on}, so that there is time to answer")
        faults.refuse()
        offer = PlotOffer.objects.create(entry=entry, plot=plot, made_on=made_on, lapses_on=lapses_on)
        note(
            offer, "offer.made", account=account, now=now,
            plot=plot.pk, member=entry.member_id, lapses_on=lapses_on,
        )  # fmt: skip
    return offer


def offer_answer(
    *, offer: PlotOffer, answer: str, on: date, account: Account | None, now: datetime
) -> Tenancy | None:
    """Record yes or no. Yes lets the plot from that day and closes the entry; no leaves it on the list."""
    with site_held(offer.entry.site):
        fresh = PlotOffer.objects.select_related("entry__member", "plot__site").get(pk=offer.pk)
        _refuse_answer(fresh, answer, on)
        fresh.answer = answer
        fresh.save(update_fields=["answer"])
        member = fresh.entry.member
        note(fresh, "offer.answered", account=account, now=now, answer=answer, member=member.pk, on=on)
        if answer == DECLINED:
            return None
        return tenancy_begin(plot=fresh.plot, members=[member], since=on, account=account, now=now)


def _refuse_answer(offer: PlotOffer, answer: str, on: date) -> None:
    faults = Faults()
    if answer not in ANSWERS:
        faults.add("answer", f"{answer!r} is neither {' nor '.join(ANSWERS)}")
    if offer.answer:
        faults.add("answer", f"this offer was answered with {offer.answer} already; make a new one")
    if not offer.made_on <= on <= offer.lapses_on:
        faults.add("on", f"the offer stood from {offer.made_on} to {offer.lapses_on}; make a new one")
    faults.refuse()
