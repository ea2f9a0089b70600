"""How often the API may be asked: by screen, and by address where there is no screen yet.

The counts lie in the cache. They are not atomic, which is good enough: they spare the server, while
what they guard is guarded by long secrets and by conditional updates.
"""

from rest_framework.request import Request
from rest_framework.throttling import SimpleRateThrottle
from rest_framework.views import APIView

from schedules.models import Screen
from society.addresses import address_of


class ByScreen(SimpleRateThrottle):
    scope = "screen"
    rate = "120/minute"

    def get_cache_key(self, request: Request, view: APIView) -> str | None:
        return f"api:screen:{request.auth.pk}" if isinstance(request.auth, Screen) else None


class ByAddress(SimpleRateThrottle):
    def get_cache_key(self, request: Request, view: APIView) -> str:
        return f"api:{self.scope}:{address_of(request._request)}"


class Asking(ByAddress):
    """New pairings: a code lives ten minutes, so several screens behind one address have room."""

    scope = "pairing"
    rate = "60/hour"


class Fetching(ByAddress):
    """A waiting browser asks every five seconds."""

    scope = "fetching"
    rate = "120/minute"


class Refused(ByAddress):
    """Tokens and secrets that open nothing."""

    scope = "refused"
    rate = "30/minute"
