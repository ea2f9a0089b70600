"""Planning a sowing: write the wish, look first, then plan it."""

from typing import Any

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from plots.models import Plot, Sowing
from plots.selectors import season_of
from plots.sowing_wishes import SowingWish
from plots.workers import members_working
from schedules.fitting_ground import families_fitting
from schedules.preview_page import preview_page, sowing_settled
from schedules.sowing_forms import NO_BED, SowForm
from schedules.sowing_ground import bed_choices, shared_from_where
from schedules.sowing_preview import SowingPreview
from schedules.sowing_services import sowing_plan
from schedules.views.access import plot_to_plan_for, site_today
from schedules.views.units import reading_units
from society import clock
from society.asking import who_asks
from society.models import Member
from society.permissions import Asker


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def sow(request: HttpRequest, pk: int) -> HttpResponse:
    """Without a wish the form; with one what it would mean. Only a post that has seen that saves it."""
    asker = who_asks(request)
    plot = plot_to_plan_for(asker, pk)
    page = _Page(request, asker, plot)
    if not page.form.is_bound:
        return page.answer()
    if not page.form.is_valid():
        return page.answer(status=422)
    now = clock.now()
    try:
        wish, preview = sowing_settled(_wish(plot, page.form), now=now)
        seen = request.POST.get("seen", "")
        if seen == preview.verdict.level.value:
            sowing = _planned(wish, asker, now=now)
            return _told(request, sowing, preview)
    except ValidationError as fault:
        page.form.take(fault)
        return page.answer(status=422)
    return page.answer(preview, was_seen=bool(seen), status=409 if seen else 200)


class _Page:
    """The form over the beds of a plot, and what is shown beside it."""

    def __init__(self, request: HttpRequest, asker: Asker, plot: Plot) -> None:
        self.request, self.asker, self.plot = request, asker, plot
        self.today = site_today(plot)
        self.units = reading_units(asker)
        self.choices = bed_choices(plot, today=self.today, units=self.units)
        data = request.POST if request.method == "POST" else request.GET if "look" in request.GET else None
        self.form = SowForm(
            data, initial=self._initial(), beds=[each.bed for each in self.choices], units=self.units
        )

    def _initial(self) -> dict[str, Any]:
        """What a link from another page has filled in already."""
        asked = {name: self.request.GET[name] for name in ("bed", "not_before") if name in self.request.GET}
        if "bed" not in asked and len(self.choices) == 1:
            asked["bed"] = str(self.choices[0].bed.pk)
        return asked

    def answer(
        self, preview: SowingPreview | None = None, *, was_seen: bool = False, status: int = 200
    ) -> HttpResponse:
        shown = preview_page(preview, today=self.today, units=self.units) if preview else None
        fits = (
            families_fitting(preview.draft, current_season=season_of(self.plot.site, self.today))
            if preview is not None and shown is not None and shown.is_warning
            else ()
        )
        context = {
            "plot": self.plot,
            "fits": fits,
            "can_look": self.request.method != "POST",
            "form": self.form,
            "choices": self.choices,
            "from_where": shared_from_where(self.choices),
            "no_bed": NO_BED,
            "chosen": str(self.form["bed"].value() or ""),
            "preview": shown,
            "was_seen": was_seen,
            "measure": "feet" if self.units == "imperial" else "metres",
        }
        return render(self.request, "schedules/sow.html", context, status=status)


def _wish(plot: Plot, form: SowForm) -> SowingWish:
    written = form.cleaned_data
    return SowingWish(
        plot=plot,
        bed=form.bed_chosen,
        crop_key=written["crop_key"],
        place=form.place_chosen,
        sow_on=written["sow_on"],
        not_before=written["not_before"],
        cover=written["cover"],
        variety=written["variety"],
    )


def _planned(wish: SowingWish, asker: Asker, *, now: Any) -> Sowing:
    return sowing_plan(
        plot=wish.plot,
        bed=wish.bed,
        crop_key=wish.crop_key,
        season=wish.season,
        place=wish.place,
        sow_on=wish.sow_on,
        not_before=wish.not_before,
        cover=wish.cover,
        variety=wish.variety,
        member=planner(wish.plot, asker),
        account=asker.account,
        now=now,
    )


def planner(plot: Plot, asker: Asker) -> Member | None:
    """The member who plans: the first of the account's who works the plot, else its first (the committee)."""
    working = members_working(plot, on=asker.on)
    return next((member for member in asker.members if member.pk in working), None) or next(
        iter(asker.members), None
    )


def _told(request: HttpRequest, sowing: Sowing, preview: SowingPreview) -> HttpResponse:
    kept = ", with its rest warning" if preview.verdict.level.value in {"short", "broken"} else ""
    messages.success(request, f"Planned: {sowing.crop_name}{kept}. Its jobs come by letter and stand below.")
    return redirect("sowing", sowing.pk)
