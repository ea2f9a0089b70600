"""What screens read and how they are paired. Tokens only; no cookie opens anything here."""

from datetime import timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import Any, cast

from django.http import HttpResponse, HttpResponseNotModified
from django.utils.cache import patch_vary_headers
from django.utils.http import parse_etags
from rest_framework import status
from rest_framework.exceptions import APIException, Throttled
from rest_framework.request import Request
from rest_framework.response import Response

from schedules import api_documents
from schedules.api_limits import Asking, ByScreen, Fetching
from schedules.api_views import HouseView, NothingHere, OpensPairing, OpensScreen, PairingSecret, ScreenToken
from schedules.models import Screen, ScreenPairing
from schedules.noticeboard import noticeboard, stamp
from schedules.pairing_services import (
    Asked,
    PairingOver,
    TooManyPairings,
    pairing_ask,
    pairing_fetch,
    pairing_take_offer,
)
from schedules.plan_services import local_day
from schedules.screens import screen_seen
from society import clock
from society.addresses import address_of

__all__ = ["NothingHere", "Noticeboard", "PairingToken", "Pairings", "SchemaFile"]

CACHING = "private, max-age=60, stale-while-revalidate=300, stale-if-error=86400"
VARIES = ("Authorization", "Accept-Language")
POLL_AFTER = timedelta(seconds=5)
FULL_AGAIN_AFTER_S = 60


class Noticeboard(HouseView):
    """The week on a site, its ground and its public notices."""

    authentication_classes = [ScreenToken]
    permission_classes = [OpensScreen]
    throttle_classes = [ByScreen]
    http_method_names = ["get", "head"]

    @api_documents.noticeboard
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


class Pairings(HouseView):
    """A browser asks to become a screen."""

    throttle_classes = [Asking]
    http_method_names = ["post"]

    @api_documents.pairing
    def post(self, request: Request) -> Response:
        now = clock.now()
        try:
            asked = self._offer(request) or pairing_ask(now=now)
        except TooManyPairings:
            raise Throttled(FULL_AGAIN_AFTER_S) from None
        body = {
            "code": asked.pairing.code,
            "secret": asked.secret,
            "expires_at": asked.pairing.expires_at,
            "lives_s": _seconds_left(asked.pairing),
            "poll_after_s": POLL_AFTER.seconds,
        }
        return Response(body, status=status.HTTP_201_CREATED, headers={"Cache-Control": "no-store"})

    def _offer(self, request: Request) -> Asked | None:
        """The demo's own screen is agreed to beforehand, for a browser on the same machine."""
        try:
            is_local = ip_address(address_of(request._request)).is_loopback
        except ValueError:
            return None
        return pairing_take_offer(now=clock.now()) if is_local else None


class PairingToken(HouseView):
    """The browser that asked fetches its token, once."""

    authentication_classes = [PairingSecret]
    permission_classes = [OpensPairing]
    throttle_classes = [Fetching]
    http_method_names = ["post"]

    @api_documents.pairing_token
    def post(self, request: Request) -> Response:
        pairing = cast(ScreenPairing, request.auth)  # the permission saw to it
        try:
            token = pairing_fetch(pairing=pairing, now=clock.now())
        except PairingOver:
            if pairing.screen is not None:
                raise Gone from None
            return self._told(state="over")
        if token is None or pairing.screen is None:
            return self._told(state="waiting")
        return self._told(state="paired", token=token, name=pairing.screen.name)

    def _told(self, **body: str) -> Response:
        return Response(body, headers={"Cache-Control": "no-store"})


class SchemaFile(HouseView):
    """The API's description as it was committed; public, because the API holds no secret."""

    http_method_names = ["get", "head"]
    schema = None
    path = Path(__file__).with_name("openapi.yaml")

    def get(self, request: Request) -> HttpResponse:
        return HttpResponse(
            self.path.read_bytes(),
            content_type="application/yaml",
            headers={"Cache-Control": "public, max-age=3600"},
        )


class Gone(APIException):
    status_code = status.HTTP_410_GONE
    default_detail = "This pairing is over: its token was fetched, or the screen was turned off. Ask again."
    default_code = "gone"


def _seconds_left(pairing: ScreenPairing) -> int:
    assert pairing.expires_at is not None  # every pairing that a browser asked for runs out
    return max(0, int((pairing.expires_at - clock.now()).total_seconds()))
