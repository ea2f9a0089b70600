"""Errors of the API as problem details (RFC 9457): one handler for all of them."""

import logging
import math
from http import HTTPStatus
from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404
from rest_framework import exceptions
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.views import set_rollback

log = logging.getLogger(__name__)


class ProblemRenderer(JSONRenderer):
    media_type = "application/problem+json"
    charset = None


def problem_response(fault: Exception, context: dict[str, Any]) -> Response:
    """Answer any exception of a view with its problem; what nobody expected is logged and told as 500."""
    known = _known(fault)
    if known is None:
        log.error("the API failed", exc_info=fault)
        known = exceptions.APIException("The server failed. It has been written down; try again later.")
    set_rollback()
    request = context.get("request")
    body = {
        "type": "about:blank",
        "title": HTTPStatus(known.status_code).phrase,
        "status": known.status_code,
        "detail": _first_words(known.detail),
        "instance": request.path if request is not None else "",
    }
    if isinstance(known, exceptions.ValidationError):
        body["errors"] = known.detail
    response = Response(body, status=known.status_code, headers=_headers(known))
    _render_as_problem(request)
    return response


def _known(fault: Exception) -> exceptions.APIException | None:
    if isinstance(fault, exceptions.APIException):
        return fault
    if isinstance(fault, Http404):
        return exceptions.NotFound("Nothing stands at this address.")
    if isinstance(fault, PermissionDenied):
        return exceptions.PermissionDenied()
    return None


def _headers(fault: exceptions.APIException) -> dict[str, str]:
    headers = {"Cache-Control": "no-store"}
    challenge = getattr(fault, "auth_header", None)
    if challenge:
        headers["WWW-Authenticate"] = challenge
    wait = getattr(fault, "wait", None)
    if wait:
        headers["Retry-After"] = str(max(1, math.ceil(wait)))
    return headers


def _first_words(detail: Any) -> str:
    """One sentence out of whatever an exception carries."""
    while isinstance(detail, dict | list):
        detail = next(iter(detail.values() if isinstance(detail, dict) else detail), "")
    return str(detail)


def _render_as_problem(request: Any) -> None:
    if request is not None:
        request.accepted_renderer = ProblemRenderer()
        request.accepted_media_type = ProblemRenderer.media_type
