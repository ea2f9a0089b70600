"""What every answer of the house carries."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse


class PrivatePages:
    """A page for somebody who is logged in is never kept by a cache on the way."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        if "Cache-Control" not in response and request.user.is_authenticated:
            response["Cache-Control"] = "no-store"
        return response
