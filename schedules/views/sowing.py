"""One sowing: reading it, changing it, taking it out of the plan or out of the ground."""

from datetime import date

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from plots.changes import StaleRow
from plots.models import GroundVerdict, Sowing
from plots.selectors import season_of
from plots.sowing_services import SowingChanges
from plots.verdict_selectors import WARNING_LEVELS
from schedules.ground_rest import LEVEL_WORDS
from schedules.sowing_forms import OPEN_STATES, ChangeForm, EndForm
from schedules.sowing_page import changed_words, sowing_page
from schedules.sowing_services import sowing_plan_change, sowing_plan_clear, sowing_plan_withdraw
from schedules.tonight import tonight_for
from schedules.views.access import site_today, sowing_for
from schedules.views.units import reading_units
from society import clock
from society.asking import who_asks
from society.permissions import Asker


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def sowing(request: HttpRequest, pk: int) -> HttpResponse:
    """One sowing with all it asks for; a post changes what can still be changed."""
    asker = who_asks(request)
    found = sowing_for(asker, pk)
    if request.method != "POST":
        return _page(request, asker, found, ChangeForm(sowing=found))
    form = ChangeForm(request.POST, sowing=found)
    if form.is_valid():
        try:
            changed = sowing_plan_change(
                sowing=found,
                version=form.cleaned_data["version"],
                account=asker.account,
                now=clock.now(),
                **_changes(found, form),
            )
        except StaleRow as stale:
            return _changed_meanwhile(request, asker, stale, form.words)
        except ValidationError as fault:
            form.take(fault)
        else:
            _say_changed(request, found, changed)
            return redirect("sowing", pk)
    return _page(request, asker, found, form, status=422)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """Asks before a plan is withdrawn or what stands is cleared."""
    asker = who_asks(request)
    found = sowing_for(asker, pk)
    if found.state not in OPEN_STATES:
        messages.warning(request, f"{found.crop_name} is out of the ground already.")
        return redirect("sowing", pk)
    today = site_today(found.patch.plot)
    form = EndForm(request.POST if request.method == "POST" else None, sowing=found, today=today)
    if request.method == "POST" and form.is_valid():
        try:
            return _ended(request, asker, found, form)
        except StaleRow as stale:
            return _changed_meanwhile(request, asker, stale, [])
        except ValidationError as fault:
            form.take(fault)
    page = sowing_page(found, today=today, units=reading_units(asker))
    context = {"page": page, "form": form, "today": today}
    return render(request, "schedules/sowing_end.html", context, status=422 if form.errors else 200)


def _say_changed(request: HttpRequest, before: Sowing, changed: Sowing) -> None:
    if changed.version == before.version:
        messages.success(request, "It stood so already.")
        return
    messages.success(request, "Changed, and its jobs are worked out anew.")
    level, was = (GroundVerdict.objects.get(sowing=changed).level, _level(before))
    if level in WARNING_LEVELS and level != was:
        messages.warning(request, f"Mind the ground: by this change it is {LEVEL_WORDS[level]}.")


def _level(sowing: Sowing) -> str:
    verdict: GroundVerdict | None = getattr(sowing, "verdict", None)
    return verdict.level if verdict else ""


def _changes(found: Sowing, form: ChangeForm) -> SowingChanges:
    written = form.cleaned_data
    changes: SowingChanges = {"variety": written["variety"]}
    if "cover" in written:
        changes["cover"] = written["cover"]
    if form.is_plan:
        site = found.patch.site
        changes["sow_on"], changes["not_before"] = written["sow_on"], written["not_before"]
        changes["season"] = season_of(site, form.day) if form.day else found.season
    return changes


def _ended(request: HttpRequest, asker: Asker, found: Sowing, form: EndForm) -> HttpResponse:
    version, now = form.cleaned_data["version"], clock.now()
    if found.state == Sowing.State.PLANNED:
        sowing_plan_withdraw(sowing=found, version=version, account=asker.account, now=now)
        messages.success(request, f"Withdrawn: {found.crop_name}. Nothing is asked for it any more.")
        return redirect("plot", found.patch.plot_id)
    day: date = form.cleaned_data["on"]
    sowing_plan_clear(sowing=found, on=day, version=version, account=asker.account, now=now)
    messages.success(request, f"Cleared: {found.crop_name}. The ground record keeps it.")
    return redirect("sowing", found.pk)


def _changed_meanwhile(request: HttpRequest, asker: Asker, stale: StaleRow, words: list[str]) -> HttpResponse:
    """Somebody was quicker: say what changed and what was written, and show how it stands now."""
    fresh = sowing_for(asker, stale.row.pk)
    return _page(
        request, asker, fresh, ChangeForm(sowing=fresh), changed=changed_words(stale.changed), words=words,
        status=409,
    )  # fmt: skip


def _page(
    request: HttpRequest,
    asker: Asker,
    found: Sowing,
    form: ChangeForm,
    *,
    changed: str = "",
    words: list[str] | None = None,
    status: int = 200,
) -> HttpResponse:
    page = sowing_page(found, today=site_today(found.patch.plot), units=reading_units(asker))
    jobs = [entry.job for entry in page.entries]
    context = {
        "page": page,
        "night": tonight_for(found, jobs, now=clock.now(), units=reading_units(asker)),
        "form": form,
        "changed": changed,
        "words": words or [],
    }
    return render(request, "schedules/sowing.html", context, status=status)
