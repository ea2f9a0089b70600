"""What screens read. Tokens only; no cookie opens anything here."""

from collections.abc import Callable
from typing import Any, cast

from django.conf import settings
from django.http import Http404, HttpResponseNotModified
from django.utils.cache import patch_vary_headers
from django.utils.http import parse_etags
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed, PermissionDenied
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from schedules.models import Screen
from schedules.noticeboard import noticeboard, stamp
from schedules.plan_services import local_day
from schedules.problems import problem_response
from schedules.screens import screen_of_token, screen_seen
from society import clock

CACHING = "private, max-age=60, stale-while-revalidate=300, stale-if-error=86400"
VARIES = ("Authorization", "Accept-Language")


class ScreenToken(BaseAuthentication):
    """``Authorization: Bearer …``; the screen is the request's ``auth``, and there is no user."""

    def authenticate(self, request: Request) -> tuple[None, Screen] | None:
        words = get_authorization_header(request).split()
        if not words or words[0].lower() != b"bearer":
            return None
        try:
            token = words[1].decode("ascii") if len(words) == 2 else ""
        except UnicodeDecodeError:
            token = ""
        screen = screen_of_token(token, now=clock.now()) if token else None
        if screen is None:
            raise AuthenticationFailed("This token opens nothing: it is unknown, expired or revoked.")
        return None, screen

    def authenticate_header(self, request: Request) -> str:
        return 'Bearer realm="noticeboard"'


class OpensWithToken(BasePermission):
    def has_permission(self, request: Request, view: APIView) -> bool:
        return isinstance(request.auth, Screen)


class ScreenView(APIView):
    authentication_classes = [ScreenToken]
    permission_classes = [OpensWithToken]
    metadata_class = None
    http_method_names = ["get", "head"]

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        # Redirecting would hide from the screen's owner that its token crossed the line unencrypted.
        if settings.SECURE_SSL_REDIRECT and not request.is_secure():
            raise PermissionDenied("Ask over https; a token sent without it counts as told to strangers.")
        super().initial(request, *args, **kwargs)

    def get_exception_handler(self) -> Callable[[Exception, dict[str, Any]], Response]:
        return problem_response


class Noticeboard(ScreenView):
    """The week on a site, its ground and its public notices."""

    def get(self, request: Request) -> Response | HttpResponseNotModified:
        now = clock.now()
        screen = cast(Screen, request.auth)  # the permission saw to it
        screen_seen(screen=screen, now=now)
        today = local_day(screen.site, now)
        etag = f'"{stamp(screen.site, today=today, language="en-gb")}"'
        known = parse_etags(request.headers.get("If-None-Match", ""))
        # Weak comparison, as RFC 9110 section 13.1.2 asks of If-None-Match.
        if "*" in known or etag in {each.removeprefix("W/") for each in known}:
            return self._kept(HttpResponseNotModified(), etag)
        return self._kept(Response(noticeboard(screen.site, today=today)), etag)

    def _kept(self, answer: Any, etag: str) -> Any:
        answer["ETag"] = etag
        answer["Cache-Control"] = CACHING
        patch_vary_headers(answer, VARIES)
        return answer


class NothingHere(ScreenView):
    """Any other address of the API answers as the API does."""

    authentication_classes = []
    permission_classes = []

    def get(self, request: Request, rest: str) -> Response:
        raise Http404
