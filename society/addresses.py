"""Where a request came from."""

from django.conf import settings
from django.http import HttpRequest


def address_of(request: HttpRequest) -> str:
    """The address that a request came from; behind a trusted proxy, the one that the proxy saw."""
    forwarded = request.headers.get("X-Forwarded-For", "")
    if forwarded and getattr(settings, "SECURE_PROXY_SSL_HEADER", None):
        return forwarded.rpartition(",")[2].strip()
    return str(request.META.get("REMOTE_ADDR", ""))
