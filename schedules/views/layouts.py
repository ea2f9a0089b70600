"""Coming seasons: what a plot's growers want, the layouts proposed for it, and taking one over."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from plots.layout_selectors import Question
from plots.layout_services import (
    layout_ask_save,
    layout_change,
    layout_changed,
    layout_propose,
    layout_propose_other,
    question_of,
)
from plots.models import LayoutProposal, Plot
from schedules.layout_adoption import layout_adopt
from schedules.layout_beside import beside_page
from schedules.layout_page import change_page, layout_page
from schedules.layout_wishes import wishes_form
from schedules.views.access import plot_to_plan_for, site_today
from schedules.views.sow import planner
from schedules.views.units import reading_units
from society import clock
from society.asking import who_asks
from society.permissions import Asker

MOST_LISTED = 12
ASK_AGAIN = "The page was incomplete. Load it again, then repeat what you wrote."


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def layouts(request: HttpRequest, pk: int) -> HttpResponse:
    """The wishes of a plot, and the proposals made for it. A post keeps them, and may ask for a proposal."""
    asker = who_asks(request)
    plot = plot_to_plan_for(asker, pk)
    data = request.POST if request.method == "POST" else None
    form = wishes_form(plot, today=site_today(plot), units=reading_units(asker), data=data)
    if data is None:
        return _wishes(request, plot, form)
    if not form.is_valid():
        return _wishes(request, plot, form, status=422)
    now = clock.now()
    try:
        layout_ask_save(
            plot=plot,
            wanted=form.wanted,
            version=form.cleaned_data["version"] or None,
            account=asker.account,
            now=now,
        )
        if data.get("action") != "propose":
            messages.success(request, "Your wishes are kept.")
            return redirect("layouts", plot.pk)
        found = layout_propose(plot=plot, member=planner(plot, asker), now=now)
    except ValidationError as fault:
        form.take(fault)
        return _wishes(request, plot, form, status=422)
    return redirect("layout", plot.pk, found.pk)


def _wishes(request: HttpRequest, plot: Plot, form: Any, *, status: int = 200) -> HttpResponse:
    proposals = LayoutProposal.objects.filter(plot=plot).select_related("beside")[:MOST_LISTED]
    context = {"plot": plot, "form": form, "proposals": proposals}
    return render(request, "schedules/layouts.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def layout(request: HttpRequest, plot: int, pk: int) -> HttpResponse:
    """One proposal. Posts try a changed cell, keep it, ask for a second proposal, or adopt this one."""
    asker = who_asks(request)
    found = plot_to_plan_for(asker, plot)
    proposal = LayoutProposal.objects.filter(plot=found, pk=pk).select_related("plot__site", "beside").first()
    if proposal is None:
        raise Http404
    if request.method != "POST":
        return _proposal(request, asker, proposal)
    try:
        return _acted(request, asker, proposal)
    except ValidationError as fault:
        return _proposal(request, asker, proposal, faults=fault.messages, status=422)


@require_safe
@login_required
def layouts_beside(request: HttpRequest, plot: int, pk: int) -> HttpResponse:
    """A proposal and the one that it was made beside, bed by bed and season by season."""
    asker = who_asks(request)
    found = plot_to_plan_for(asker, plot)
    other = LayoutProposal.objects.filter(plot=found, pk=pk, beside__isnull=False)
    second = other.select_related("plot__site", "beside__plot__site").first()
    if second is None or second.beside is None:
        raise Http404
    page = beside_page(second.beside, second, _present(found), units=reading_units(asker))
    return render(request, "schedules/layouts_beside.html", {"page": page, "plot": found})


def _acted(request: HttpRequest, asker: Asker, proposal: LayoutProposal) -> HttpResponse:
    now, member = clock.now(), planner(proposal.plot, asker)
    match request.POST.get("action", ""):
        case "look":
            return _looked(request, asker, proposal)
        case "keep":
            row = layout_change(proposal=proposal, member=member, now=now, **_cell(request))
            messages.success(request, "The changed layout is kept beside the one before.")
        case "second":
            row = layout_propose_other(first=proposal, member=member, now=now)
        case "adopt":
            planned = layout_adopt(proposal=proposal, member=member, account=asker.account, now=now)
            row = proposal
            messages.success(
                request,
                f"Adopted: {len(planned)} sowing{'' if len(planned) == 1 else 's'} "
                f"{'is' if len(planned) == 1 else 'are'} planned.",
            )
        case _:
            raise ValidationError(ASK_AGAIN)
    return redirect("layout", proposal.plot_id, row.pk)


def _cell(request: HttpRequest) -> dict[str, Any]:
    """The piece, and 'season:crop', or 'season:' for leaving it empty."""
    season, _, crop = request.POST.get("wish", "").partition(":")
    piece = request.POST.get("piece", "")
    if not (season.isascii() and season.isdecimal() and len(season) == 4 and piece):
        raise ValidationError("Choose the bed, and what shall stand there in which season.")
    return {"piece": piece, "season": int(season), "wish": f"{season}:{crop}" if crop else None}


def _looked(request: HttpRequest, asker: Asker, proposal: LayoutProposal) -> HttpResponse:
    problem, answer = layout_changed(proposal, **_cell(request))
    change = change_page(proposal, _present(proposal.plot), problem, answer, units=reading_units(asker))
    context = {
        "page": change.page,
        "change": change,
        "plot": proposal.plot,
        "piece": request.POST["piece"],
        "wish": request.POST["wish"],
    }
    return render(request, "schedules/layout.html", context)


def _proposal(
    request: HttpRequest,
    asker: Asker,
    proposal: LayoutProposal,
    *,
    faults: list[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    page = layout_page(proposal, _present(proposal.plot), units=reading_units(asker))
    other = proposal.others.filter(origin=LayoutProposal.Origin.SECOND).first()
    context = {"page": page, "plot": proposal.plot, "faults": faults, "second": other}
    return render(request, "schedules/layout.html", context, status=status)


def _present(plot: Plot) -> Question | None:
    """The question as it stands now; None once it cannot be asked any more."""
    try:
        return question_of(plot, now=clock.now())
    except ValidationError:
        return None
