"""This week, and recording what was done of it."""

from collections.abc import Sequence
from datetime import date

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from plots.workers import plots_in_order
from schedules.forms import RecordForm
from schedules.job_services import StaleJob, job_record
from schedules.models import Job
from schedules.notice_selectors import notices_for_members
from schedules.selectors import as_read
from schedules.tonight import SiteTonight, tonight_on
from schedules.views.access import job_for, site_today
from schedules.week import Entry, MemberWeek, entry_of, weeks_of
from schedules.wording import day_words
from society import clock
from society.asking import who_asks
from society.permissions import Asker, can_see_every_plot


@require_safe
@login_required
def this_week(request: HttpRequest) -> HttpResponse:
    """The jobs of the coming seven days for every member that the account acts for."""
    asker = who_asks(request)
    weeks = weeks_of(asker.members, today=asker.on)
    at_work = [week for week in weeks if week.plots]
    nights = _nights(at_work, asker)
    context = {
        "weeks": at_work,
        "day": asker.on,
        "job_count": sum(len(week.entries) for week in at_work),
        "late_count": sum(entry.is_late for week in at_work for entry in week.entries),
        "asker": asker,
        "nights": nights,
        "night_is_urgent": any(night.is_urgent for night in nights),
        "notices": notices_for_members(weeks, on=asker.on),
        "every_plot": plots_in_order() if can_see_every_plot(asker) else (),
    }
    return render(request, "schedules/this_week.html", context)


def _nights(weeks: Sequence[MemberWeek], asker: Asker) -> list[SiteTonight]:
    """The night on every site that the account's members work, each once."""
    plots = {plot.pk: plot for week in weeks for plot in week.plots}
    jobs = [entry.job for week in weeks for entry in week.entries]
    return tonight_on(list(plots.values()), jobs, now=clock.now(), units=asker.units)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def job_page(request: HttpRequest, pk: int) -> HttpResponse:
    """One job by itself, and recording it."""
    asker = who_asks(request)
    job = job_for(asker, pk)
    today = site_today(job.sowing.patch.plot)
    if request.method != "POST":
        return _job_page(request, asker, job, None)
    form = RecordForm(request.POST, today=today)
    if form.is_valid():
        try:
            return _recorded(request, asker, job, form)
        except StaleJob as stale:
            return _changed_meanwhile(request, asker, stale.job)
        except ValidationError as fault:
            form.refuse_day(fault.messages)
    return _job_page(request, asker, job, form)


def _recorded(request: HttpRequest, asker: Asker, job: Job, form: RecordForm) -> HttpResponse:
    outcome, day = form.cleaned_data["outcome"], form.day
    title = _as_entry(asker, job).due.title
    job_record(
        job_key=job.key,
        outcome=outcome,
        on=day,
        account=asker.account,
        now=clock.now(),
        version=form.cleaned_data["version"],
    )
    words = {
        "done": f"done {_on(day, asker)}",
        "not_needed": "not needed",
        "put_off": f"put off until {day_words(day, today=asker.on)}",
    }
    messages.success(request, f"Recorded: {title}, {words[outcome]}.")
    return redirect("this-week")


def _on(day: date, asker: Asker) -> str:
    return "today" if day == asker.on else f"on {day_words(day, today=asker.on)}"


def _changed_meanwhile(request: HttpRequest, asker: Asker, job: Job) -> HttpResponse:
    """Somebody, or the weather, was quicker: say what holds now and leave the choice to the reader."""
    fresh = job_for(asker, job.pk)
    return render(request, "schedules/job_changed.html", _context(asker, fresh), status=409)


def _job_page(request: HttpRequest, asker: Asker, job: Job, form: RecordForm | None) -> HttpResponse:
    faults = form.faults if form else []
    context = {**_context(asker, job), "faults": faults, "form": form}
    return render(request, "schedules/job.html", context, status=422 if faults else 200)


def _context(asker: Asker, job: Job) -> dict[str, object]:
    return {"entry": _as_entry(asker, job), "day": asker.on, "job": job}


def _as_entry(asker: Asker, job: Job) -> Entry:
    return entry_of(as_read(job, today=asker.on, units=asker.units), today=asker.on)
