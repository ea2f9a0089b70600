"""Who changed what."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from schedules.journal_reading import KINDS, journal_lines, journal_of
from schedules.views.committee.desk import Desk, looked_at, page_of


@looked_at
def journal(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The newest first, forty to a page, of one kind if asked for."""
    kind = request.GET.get("kind", "")
    if kind and kind not in KINDS:
        raise Http404("kind: the journal knows no such kind")
    page = page_of(request, journal_of(kind))
    context = {
        "page": page,
        "lines": journal_lines(page.object_list),
        "kind": kind,
        "kinds": [(key, label) for key, (label, _) in KINDS.items()],
    }
    return render(request, "schedules/committee/journal.html", context)
