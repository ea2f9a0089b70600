"""The waiting list of a site, and offers of vacant plots."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from plots.holding_selectors import vacant_plots, waiting_on
from plots.models import PlotOffer, Site, WaitingEntry
from plots.waiting_services import ACCEPTED, offer_answer, waiting_add, waiting_close
from schedules.committee_forms.people import EndForm
from schedules.committee_forms.tenancies import AnswerForm, OfferForm, WaitingForm
from schedules.offer_services import plot_offer
from schedules.views.committee.desk import (
    Desk,
    done,
    form_page,
    looked_at,
    page_of,
    sent,
    site_chosen,
    sites,
    written,
)

BACK = "Back to the waiting list"


@looked_at
def waiting(request: HttpRequest, desk: Desk) -> HttpResponse:
    known = sites()
    site = site_chosen(request, known)
    context: dict[str, object] = {"sites": known, "site": site, "day": desk.today}
    if site is not None:
        context |= {
            "page": page_of(request, waiting_on(site)),
            "vacant_count": vacant_plots(site, on=desk.today).count(),
        }
    return render(request, "schedules/committee/waiting.html", context)


@written
def entry_add(request: HttpRequest, desk: Desk) -> HttpResponse:
    site = site_chosen(request, sites())
    if site is None:
        raise Http404("there is no site to wait for")
    form = WaitingForm(sent(request), today=desk.today)
    entry = form.call(waiting_add, site=site, account=desk.account, now=desk.now)
    if entry:
        return done(request, f"{entry.member.name} is on the list.", _list(site))
    return form_page(
        request,
        form,
        title=f"Somebody asks for a plot on {site.name}",
        button="Put them on the list",
        back=(_list(site), BACK),
        lead="Enter them as a member first if they are not in the book yet.",
    )


@written
def entry_close(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    entry = _entry(pk)
    form = EndForm(sent(request), today=desk.today)
    if form.call(waiting_close, entry=entry, account=desk.account, now=desk.now):
        return done(request, f"{entry.member.name} waits no longer.", _list(entry.site))
    title = f"Take {entry.member.name} off the waiting list"
    return form_page(request, form, title=title, button="Take them off", back=(_list(entry.site), BACK))


@written
def offer_add(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    entry = _entry(pk)
    form = OfferForm(sent(request), site=entry.site, today=desk.today)
    if form.call(plot_offer, entry=entry, made_on=desk.today, account=desk.account, now=desk.now):
        number, name = form.cleaned_data["plot"].number, entry.member.name
        told = (
            "A letter tells them."
            if entry.member.email
            else "They have no e-mail address: tell them yourself."
        )
        return done(request, f"Plot {number} is offered to {name}. {told}", _list(entry.site))
    return form_page(
        request,
        form,
        title=f"Offer a plot to {entry.member.name}",
        button="Note the offer",
        back=(_list(entry.site), BACK),
        lead="A letter tells them, if they have an e-mail address. A plot is offered to one at a time.",
    )


@written
def offer_reply(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    offer = get_object_or_404(PlotOffer.objects.select_related("entry__member", "entry__site", "plot"), pk=pk)
    form = AnswerForm(sent(request), today=desk.today)
    member, number = offer.entry.member, offer.plot.number
    form.call(offer_answer, offer=offer, account=desk.account, now=desk.now)
    if form.is_bound and not form.errors:
        took = form.cleaned_data["answer"] == ACCEPTED
        said = f"Plot {number} is let to {member.name}." if took else f"{member.name} stays on the list."
        return done(request, said, _list(offer.entry.site))
    title = f"What {member.name} says to plot {number}"
    return form_page(request, form, title=title, button="Note it", back=(_list(offer.entry.site), BACK))


def _entry(pk: int) -> WaitingEntry:
    return get_object_or_404(WaitingEntry.objects.select_related("member", "site"), pk=pk)


def _list(site: Site) -> str:
    return f"{reverse('committee-waiting')}?site={site.slug}"
