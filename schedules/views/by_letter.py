"""What the links in a letter open. Looking changes nothing, because mail programs look at every link."""

from contextlib import suppress

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from schedules.absence_services import AbsenceSettled, absence_end
from schedules.forms import RecordForm
from schedules.job_links import LinkOver, Opened, jobs_of_link
from schedules.job_services import StaleJob, job_record
from schedules.letter_stopping import Stop, stop_of
from schedules.models import Job
from schedules.selectors import as_read
from schedules.week import entry_of
from society import clock
from society.asking import house_today
from society.preference_services import letters_stop

INCOMPLETE = "The page was incomplete. Load it again, then record the job."


@csrf_exempt  # the link itself is the right to do this; no cookie gives or adds any
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def job_by_letter(request: HttpRequest, token: str) -> HttpResponse:
    """A job, or the same work in several beds; a post records, anything else only shows."""
    try:
        opened = jobs_of_link(token, now=clock.now())
    except LinkOver:
        return _private(render(request, "schedules/job_by_letter_gone.html", {"is_over": True}, status=410))
    if opened is None:
        return _private(render(request, "schedules/job_by_letter_gone.html", status=404))
    if request.method != "POST":
        return _page(request, opened)
    job = next((each for each in opened.jobs if str(each.pk) == request.POST.get("job")), None)
    if job is None:
        return _page(request, opened, faults=[INCOMPLETE], status=422)
    return _record(request, opened, job) or _private(redirect("job-by-letter", token=token))


def _record(request: HttpRequest, opened: Opened, job: Job) -> HttpResponse | None:
    """Record one job; the page that says why not, where it cannot be."""
    form = RecordForm(request.POST, today=opened.today)
    if not form.is_valid():
        return _page(request, opened, faults=form.faults, status=422)
    try:
        job_record(
            job_key=job.key,
            outcome=form.cleaned_data["outcome"],
            on=form.day,
            account=None,
            now=clock.now(),
            version=form.cleaned_data["version"],
            by_letter_to=opened.reader,
        )
    except StaleJob:
        for each in opened.jobs:
            each.refresh_from_db()
        return _page(request, opened, changed=True, status=409)
    except ValidationError as fault:
        form.refuse_day(fault.messages)
        return _page(request, opened, faults=form.faults, status=422)
    return None


def _page(
    request: HttpRequest,
    opened: Opened,
    *,
    faults: list[str] | None = None,
    changed: bool = False,
    status: int = 200,
) -> HttpResponse:
    read = [as_read(job, today=opened.today, units=opened.reader.units) for job in opened.jobs]
    context = {
        "entries": [entry_of(due, today=opened.today) for due in read],
        "day": opened.today,
        "faults": faults or [],
        "changed": changed,
        "by_letter": request.path,
    }
    return _private(render(request, "schedules/job_by_letter.html", context, status=status))


def _private(response: HttpResponse) -> HttpResponse:
    """The address is a secret, so no page that follows may learn it and no search engine keep it."""
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex"
    return response


@csrf_exempt  # a mail program's own button posts here, without a cookie (RFC 8058)
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def letter_stop(request: HttpRequest, token: str) -> HttpResponse:
    """Stop one kind of letter; a post stops it and is answered here, anything else only shows."""
    stop = stop_of(token)
    if stop is None:
        return _private(render(request, "schedules/job_by_letter_gone.html", status=404))
    is_stopped = request.method == "POST"
    if is_stopped:
        _stop(stop)
    context = {"stop": stop, "is_stopped": is_stopped, "absence": stop.standing_in}
    return _private(render(request, "schedules/letter_stop.html", context))


def _stop(stop: Stop) -> None:
    now = clock.now()
    if stop.reader == stop.member:
        letters_stop(member=stop.member, wish=stop.wish, now=now)
    elif stop.standing_in is not None:
        # The letter is another's: whoever wants no more of it stands in no longer, and both hear of it.
        with suppress(AbsenceSettled):
            absence_end(absence=stop.standing_in, account=None, now=now, today=house_today())
