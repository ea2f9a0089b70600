"""Land divided anew: looked at on a drawing first, kept when the very same wish is sent again."""

from collections.abc import Callable
from typing import Any

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from plots.carrying import plot_carry
from plots.holding_selectors import plots_on
from plots.models import Plot
from plots.plot_drafts import Parting
from plots.plot_parting import plot_halve, plots_merge
from plots.plot_services import plot_create, plot_drafted
from plots.selectors import open_on
from schedules.bed_sheets import beds_now, beds_open
from schedules.committee_forms.plot_work import HalveForm, MergeForm, PartingForm, PlotCarryForm
from schedules.committee_forms.survey import SurveyForm
from schedules.plot_sheets import adjoining, parting_sheet, survey_sheet
from schedules.views.committee.desk import Desk, done, form_page, sent, site_chosen, sites, written
from schedules.views.committee.plot_changes import plot_back

RECORD = (
    "The old number ends on that day and its record stays; the new plots show what was grown on their land."
)


@written
def plot_halve_page(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot = _plot(pk)
    is_held = plot.tenancies.filter(open_on(desk.today, "")).exists()
    form = HalveForm(sent(request), plot=plot, is_held=is_held, today=desk.today)

    def halve() -> Parting:
        return plot_halve(
            **form.division, rent_due=form.rent, version=plot.version, account=desk.account, now=desk.now
        )

    return _work(
        request, desk, form, plot, halve,
        title=f"Halve plot {plot.number}", button="Halve it", lead=RECORD,
    )  # fmt: skip


@written
def plot_merge_page(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot = _plot(pk)
    others = adjoining(plot, list(plots_on(plot.site, on=desk.today)))
    form = MergeForm(sent(request), plot=plot, others=others, today=desk.today)

    def merge() -> Parting:
        versions = {each.pk: each.version for each in form.division["plots"]}
        return plots_merge(
            **form.division, rent_due=form.rent, versions=versions, account=desk.account, now=desk.now
        )

    return _work(
        request, desk, form, plot, merge,
        title=f"Merge plot {plot.number} with the one beside it", button="Merge them", lead=RECORD,
    )  # fmt: skip


@written
def plot_move_page(request: HttpRequest, desk: Desk, pk: int) -> HttpResponse:
    plot = _plot(pk)
    form = PlotCarryForm(sent(request), plot=plot)
    if form.call(plot_carry, plot=plot, account=desk.account, now=desk.now):
        return done(
            request, "Moved, with all that is on record there.", reverse("committee-plot", args=[plot.pk])
        )
    return form_page(
        request, form, title=f"Plot {plot.number} was entered in the wrong place", button="Move it",
        back=plot_back(plot),
        lead="Its beds and everything on record on it move along, so no rest changes. For land that is "
        "really laid out otherwise, halve, merge or give it up.",
    )  # fmt: skip


@written
def plot_survey_page(request: HttpRequest, desk: Desk) -> HttpResponse:
    """A plot laid out from taped lengths; looked at first, with how well they close."""
    site = site_chosen(request, sites())
    if site is None:
        raise Http404("there is no site to lay a plot out on")
    form = SurveyForm(sent(request), today=desk.today)
    found, plot = form.surveyed(), None
    if found is not None:
        wish = {"site": site, "shape": form.outline(found), **form.plot_wish}
        try:
            plot = plot_drafted(**wish)
            if "keep" in request.POST and request.POST.get("seen") == _mark(plot):
                plot = plot_create(**wish, account=desk.account, now=desk.now)
                url = reverse("committee-plot", args=[plot.pk])
                return done(request, f"Plot {plot.number} is laid out.", url)
            form.is_other_than_looked_at = "keep" in request.POST
        except ValidationError as fault:
            form.refuse(fault)
    sheet = mark = None
    if found is not None and plot is not None and not form.errors:
        mark = _mark(plot)
        sheet = survey_sheet(found, plot.outline, form.cleaned_data["lengths"], number=plot.number)
    context = {
        "form": form, "title": f"Lay out a plot on {site.name} from taped lengths", "button": "Lay it out",
        "lead": "Tape every side and at least one diagonal. You see the plot, and how well the lengths "
        "close, before it is kept.",
        "back_url": f"{reverse('committee-plots')}?site={site.slug}", "back_words": "Back to the plots",
        "sheet": sheet, "mark": mark,
    }  # fmt: skip
    return render(request, "schedules/committee/plot_survey.html", context, status=form.status)


def _mark(plot: Plot) -> str:
    """The same for the same outline: what was looked at is what is kept."""
    return ";".join(f"{x:.4f},{y:.4f}" for x, y in plot.outline)


def _work(
    request: HttpRequest,
    desk: Desk,
    form: PartingForm,
    plot: Plot,
    service: Callable[[], Parting],
    **words: Any,
) -> HttpResponse:
    parting = form.drafted(desk.now)
    if parting is not None and "keep" in request.POST:
        if request.POST.get("seen") != parting.mark:
            form.is_other_than_looked_at = True
        else:
            try:
                made = service()
            except ValidationError as fault:
                form.refuse(fault)
                parting = None
            else:
                return done(request, _done_words(made), reverse("committee-plot", args=[made.making[0].pk]))
    back_url, back_words = plot_back(plot)
    context = {
        **words, "form": form, "back_url": back_url, "back_words": back_words, "parting": parting,
        "sheet": parting_sheet(parting) if parting else None,
        "drawing": "" if parting else beds_now(plot, beds_open(plot, on=desk.today)),
    }  # fmt: skip
    return render(request, "schedules/committee/plot_work.html", context, status=form.status)


def _done_words(parting: Parting) -> str:
    ended = " and ".join(f"plot {plot.number}" for plot in parting.ending)
    made = " and ".join(f"plot {plot.number}" for plot in parting.making)
    return f"{ended[:1].upper()}{ended[1:]} ended; {made} laid out on its land."


def _plot(pk: int) -> Plot:
    return get_object_or_404(Plot.objects.select_related("site"), pk=pk)
