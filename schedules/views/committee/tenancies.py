"""Letting plots, ending tenancies, rent, and who else works a plot."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from plots.models import CoWorker, Plot, Tenancy
from plots.tenancy_services import co_worker_add, co_worker_end, rent_note, tenancy_begin
from schedules.committee_forms.people import EndForm
from schedules.committee_forms.tenancies import HelperForm, RentForm, TenancyEndForm, TenancyForm
from schedules.sowing_services import tenancy_close
from schedules.views.committee.desk import Desk, done, form_page, sent, written
from schedules.views.committee.plot_changes import plot_back


@written
def tenancy_add(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot = _plot(pk)
    form = TenancyForm(sent(request), today=desk.today)
    if form.call(tenancy_begin, plot=plot, account=desk.account, now=desk.now):
        return done(request, f"Plot {plot.number} is let.", _page(plot))
    return form_page(
        request,
        form,
        title=f"Let plot {plot.number}",
        button="Let it",
        back=plot_back(plot),
        lead="Up to four members can hold it together. Whoever waited for this site waits no longer.",
    )


@written
def tenancy_close_page(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    """End a tenancy; the answer says what was done, and, after a death, what need not be hurried."""
    tenancy = _tenancy(pk)
    plot = tenancy.plot
    form = TenancyEndForm(sent(request), tenancy=tenancy, today=desk.today)
    ending = form.call(tenancy_close, tenancy=tenancy, account=desk.account, now=desk.now)
    if ending:
        messages.success(request, "The tenancy has ended.")
        context = {"ending": ending, "plot": plot, "passed_to": form.cleaned_data["passed_to"]}
        return render(request, "schedules/committee/tenancy_ended.html", context)
    return form_page(
        request,
        form,
        title=f"End the tenancy of plot {plot.number}",
        button="End the tenancy",
        back=plot_back(plot),
        lead="Letters about the plot stop for those who go. What stands in the ground is passed on or "
        "cleared; the record of the ground stays.",
        caution="Your rules and the lease say what notice is due and what happens after a death. They come "
        "first.",
    )


@written
def rent(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    tenancy = _tenancy(pk)
    form = RentForm(sent(request), tenancy=tenancy, today=desk.today)
    if form.call(rent_note, tenancy=tenancy, account=desk.account, now=desk.now):
        return done(request, "The rent is noted.", _page(tenancy.plot))
    due = f"Due: {tenancy.rent_due}." if tenancy.rent_due is not None else ""
    title = f"Note the rent of plot {tenancy.plot.number}"
    return form_page(request, form, title=title, button="Note it", back=plot_back(tenancy.plot), lead=due)


@written
def helper_add(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot = _plot(pk)
    form = HelperForm(sent(request), today=desk.today)
    if form.call(co_worker_add, plot=plot, account=desk.account, now=desk.now):
        return done(request, f"{form.cleaned_data['member'].name} helps on plot {plot.number}.", _page(plot))
    return form_page(
        request,
        form,
        title=f"Somebody helps on plot {plot.number}",
        button="Note the helper",
        back=plot_back(plot),
        lead="A helper works the plot without holding it. The plot’s jobs are in their letters from that "
        "day.",
    )


@written
def helper_close(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    helper = get_object_or_404(CoWorker.objects.select_related("plot__site", "member"), pk=pk)
    form = EndForm(sent(request), today=desk.today)
    if form.call(co_worker_end, co_worker=helper, account=desk.account, now=desk.now):
        return done(request, f"{helper.member.name} helps there no longer.", _page(helper.plot))
    title = f"End the help of {helper.member.name} on plot {helper.plot.number}"
    return form_page(request, form, title=title, button="End it", back=plot_back(helper.plot))


def _plot(pk: int) -> Plot:
    return get_object_or_404(Plot.objects.select_related("site"), pk=pk)


def _tenancy(pk: int) -> Tenancy:
    return get_object_or_404(Tenancy.objects.select_related("plot__site"), pk=pk)


def _page(plot: Plot) -> str:
    return reverse("committee-plot", args=[plot.pk])
