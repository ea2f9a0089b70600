"""What every address of the API has in common: bearer words, problems as answers, limits, no cookie."""

from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import Http404
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed, PermissionDenied
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from schedules.api_limits import Refused
from schedules.models import Screen, ScreenPairing
from schedules.pairing_services import pairing_of_secret
from schedules.problems import problem_response
from schedules.screens import screen_of_token
from society import clock


class Bearer(BaseAuthentication):
    """``Authorization: Bearer …``; what the word opens is the request's ``auth``, and there is no user."""

    realm = ""
    refusal = ""

    def authenticate(self, request: Request) -> tuple[None, Any] | None:
        words = get_authorization_header(request).split()
        if not words or words[0].lower() != b"bearer":
            return None
        try:
            word = words[1].decode("ascii") if len(words) == 2 else ""
        except UnicodeDecodeError:
            word = ""
        opened = self.opens(word) if word else None
        if opened is None:
            raise AuthenticationFailed(self.refusal)
        return None, opened

    def opens(self, word: str) -> Any:
        raise NotImplementedError

    def authenticate_header(self, request: Request) -> str:
        return f'Bearer realm="{self.realm}"'


class ScreenToken(Bearer):
    realm = "noticeboard"
    refusal = "This token opens nothing: it is unknown, expired or revoked."

    def opens(self, word: str) -> Screen | None:
        return screen_of_token(word, now=clock.now())


class PairingSecret(Bearer):
    realm = "pairing"
    refusal = "This secret belongs to no pairing: ask for a new code."

    def opens(self, word: str) -> ScreenPairing | None:
        return pairing_of_secret(word)


class OpensScreen(BasePermission):
    def has_permission(self, request: Request, view: APIView) -> bool:
        return isinstance(request.auth, Screen)


class OpensPairing(BasePermission):
    def has_permission(self, request: Request, view: APIView) -> bool:
        return isinstance(request.auth, ScreenPairing)


class HouseView(APIView):
    """An address of the API. It never redirects, and every refusal is a problem."""

    authentication_classes = []
    permission_classes = []
    metadata_class = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        # Redirecting would hide from the screen's owner that its token crossed the line unencrypted.
        if settings.SECURE_SSL_REDIRECT and not request.is_secure():
            raise PermissionDenied("Ask over https; a token sent without it counts as told to strangers.")
        super().initial(request, *args, **kwargs)

    def perform_authentication(self, request: Request) -> None:
        try:
            super().perform_authentication(request)
        except AuthenticationFailed:
            self._count_refusal(request)
            raise

    def _count_refusal(self, request: Request) -> None:
        limit = Refused()
        if not limit.allow_request(request, self):
            self.throttled(request, limit.wait() or 1)

    def get_exception_handler(self) -> Callable[[Exception, dict[str, Any]], Response]:
        return problem_response


class NothingHere(HouseView):
    """Any other address of the API answers as the API does, by whatever method it is asked."""

    schema = None

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        raise Http404
