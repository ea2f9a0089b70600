"""Whether the process is alive."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe


@require_safe
def healthz(request: HttpRequest) -> HttpResponse:
    """The process answers. Touches no database, so a database that is away never restarts the process."""
    return HttpResponse("ok\n", content_type="text/plain", headers={"Cache-Control": "no-store"})
