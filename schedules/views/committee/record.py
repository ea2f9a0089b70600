"""Old records of the ground, taken in from a file, and the record given out as one."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from plots.changes import local_day
from plots.models import Site
from plots.record_csv import read_record, write_record
from plots.record_selectors import record_rows
from plots.record_services import record_import
from schedules.carried_file import carry
from schedules.committee_forms.record import RecordFileForm
from schedules.plan_services import site_replan
from schedules.record_file_page import RecordPreview
from schedules.views.committee.desk import Desk, done, looked_at, sent, site_chosen, sites, written


@written
def record_file(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Look at a file of old records first; keep all of it, or nothing."""
    known = sites()
    site = site_chosen(request, known)
    if site is None:
        raise Http404("there is no site to take records in for")
    about = f"record of site {site.pk} by account {desk.account.pk}"
    form = RecordFileForm(sent(request), request.FILES or None, about=about, now=desk.now)
    preview: RecordPreview | None = None
    if form.is_bound and form.is_valid():
        data = form.cleaned_data["data"]
        outcome = record_import(
            site=site,
            file=read_record(data),
            is_complete=form.cleaned_data["is_complete"],
            member=next(iter(desk.asker.members), None),
            account=desk.account,
            now=desk.now,
            dry_run="keep" not in request.POST,
        )
        preview = RecordPreview(site, outcome, carry(data, about=about, now=desk.now))
        if outcome.is_saved:
            site_replan(site=site, now=desk.now)
            return done(request, preview.saved_words, _address(site))
    refused = form.status != 200 or (preview is not None and bool(preview.outcome.faults))
    context = {
        "form": form, "preview": preview, "site": site, "sites": known,
        "out_url": f"{reverse('committee-record-out')}?site={site.slug}",
    }  # fmt: skip
    return render(request, "schedules/committee/record_file.html", context, status=422 if refused else 200)


@looked_at
def record_out(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The record of a site's ground as CSV, in the form that is read back."""
    site = site_chosen(request, sites())
    if site is None:
        raise Http404("there is no site to have a record")
    text = write_record(record_rows(site, today=local_day(site, desk.now)))
    # The mark lets spreadsheets see that it is UTF-8.
    answer = HttpResponse("\ufeff" + text, content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="record-{site.slug}.csv"'
    return answer


def _address(site: Site) -> str:
    return f"{reverse('committee-record-file')}?site={site.slug}"
