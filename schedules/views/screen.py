"""The noticeboard itself: an empty page that the API fills, and the worker that keeps it without a server."""

from pathlib import Path

from csp.constants import SELF
from csp.decorators import csp_update
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

WORKER = Path(__file__).parents[1] / "static" / "schedules" / "screen-worker.js"

# The page asks the API by script and starts a worker; no other page of the house does either.
may_ask = csp_update({"connect-src": [SELF], "worker-src": [SELF]})


@require_safe
@may_ask
def screen(request: HttpRequest) -> HttpResponse:
    """The same for everybody: what it shows depends on the token that lies in the browser."""
    answer = render(request, "schedules/screen.html")
    answer["Cache-Control"] = "no-cache"
    return answer


@require_safe
@may_ask
def service_worker(request: HttpRequest) -> HttpResponse:
    """Served beside the page, because a worker may only keep what lies below its own address."""
    return HttpResponse(
        WORKER.read_bytes(), content_type="text/javascript", headers={"Cache-Control": "no-cache"}
    )
