"""What the API's description says of each address: every answer, refusals included."""

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, extend_schema
from rest_framework import serializers

PROBLEM = "application/problem+json"


class ProblemAnswer(serializers.Serializer[Any]):
    """Problem details (RFC 9457)."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    instance = serializers.CharField()


class SiteAnswer(serializers.Serializer[Any]):
    name = serializers.CharField()
    zone = serializers.CharField(help_text="Name in the time zone database.")


class SeasonAnswer(serializers.Serializer[Any]):
    name = serializers.CharField(help_text="'2027', or '2027/28' where the growing year runs across.")
    week = serializers.IntegerField(help_text="The first week of the growing year is 1.")


class JobAnswer(serializers.Serializer[Any]):
    kind = serializers.CharField(help_text="Kinds may be added; show what you do not know by its title.")
    title = serializers.CharField()
    crop = serializers.CharField()
    plot = serializers.CharField()
    bed = serializers.CharField(help_text="Its number or letter, else only what kind of bed it is.")
    best = serializers.DateField()
    by = serializers.DateField()
    cautions = serializers.ListField(
        child=serializers.CharField(), help_text="Where the work can hurt somebody: what to mind."
    )

    def get_fields(self) -> dict[str, serializers.Field[Any, Any, Any, Any]]:
        return {"from": serializers.DateField(), **super().get_fields()}  # a word of the language


class GroundAnswer(serializers.Serializer[Any]):
    """A plot with sowings on ground that has not rested long enough."""

    plot = serializers.CharField()
    short = serializers.IntegerField(help_text="Rested less than is recommended.")
    broken = serializers.IntegerField(help_text="Rested less than the rule asks at the least.")


class NoticeAnswer(serializers.Serializer[Any]):
    text = serializers.CharField()
    until = serializers.DateField()
    is_urgent = serializers.BooleanField()


class NoticeboardAnswer(serializers.Serializer[Any]):
    site = SiteAnswer()
    today = serializers.DateField(help_text="The date at the site.")
    season = SeasonAnswer()
    as_of = serializers.DateTimeField(
        allow_null=True, help_text="When the plans behind it were last worked out; null without jobs."
    )
    week = JobAnswer(many=True, help_text="Open jobs of the coming seven days, most pressing first.")
    week_is_cut = serializers.BooleanField(help_text="Whether more jobs are due than are listed.")
    ground = GroundAnswer(many=True)
    notices = NoticeAnswer(many=True)


class PairingAnswer(serializers.Serializer[Any]):
    code = serializers.CharField(help_text="Six letters and digits to show; opens nothing by itself.")
    secret = serializers.CharField(help_text="Told this once. Keep it, and send it as the bearer word.")
    expires_at = serializers.DateTimeField()
    lives_s = serializers.IntegerField(help_text="Seconds left until then, for those without a true clock.")
    poll_after_s = serializers.IntegerField()


class PairingTokenAnswer(serializers.Serializer[Any]):
    state = serializers.ChoiceField(
        choices=["waiting", "paired", "over"], help_text="'over': nobody typed the code in time; ask again."
    )
    token = serializers.CharField(required=False, help_text="Only with 'paired', and only once.")
    name = serializers.CharField(required=False, help_text="Only with 'paired': what the screen is called.")


class TokenScheme(OpenApiAuthenticationExtension):
    target_class = "schedules.api_views.ScreenToken"
    name = "screenToken"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer", "description": "A screen's token."}


class SecretScheme(OpenApiAuthenticationExtension):
    target_class = "schedules.api_views.PairingSecret"
    name = "pairingSecret"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer", "description": "The secret that came with a code."}


def _problems(**said: str) -> dict[Any, Any]:
    return {
        (int(status.removeprefix("on_")), PROBLEM): OpenApiResponse(ProblemAnswer, description=words)
        for status, words in said.items()
    }


def _header(name: str, words: str, *statuses: int) -> OpenApiParameter:
    return OpenApiParameter(
        name, OpenApiTypes.STR, OpenApiParameter.HEADER, description=words, response=list(statuses)
    )


RETRY = OpenApiParameter(
    "Retry-After",
    OpenApiTypes.INT,
    OpenApiParameter.HEADER,
    description="Seconds to wait before the next question.",
    response=[429],
)
CHALLENGE = _header("WWW-Authenticate", "Which bearer word is asked for.", 401)
REFUSALS = {
    "on_401": "No bearer word, or one that opens nothing.",
    "on_403": "Asked over a plain line where the server is reached by https.",
    "on_405": "Not by this method.",
    "on_406": "None of the media types asked for can be given.",
    "on_429": "Asked too often; Retry-After says when to come back.",
    "on_500": "The server failed; nothing of its inside is told.",
}
OPEN_REFUSALS = {status: words for status, words in REFUSALS.items() if status != "on_401"}

noticeboard = extend_schema(
    operation_id="noticeboard",
    summary="The week on the screen's site",
    description="Plot numbers and crops, never people. Ask once a minute, with the ETag of the last answer.",
    parameters=[
        OpenApiParameter(
            "If-None-Match",
            OpenApiTypes.STR,
            OpenApiParameter.HEADER,
            description="The ETag of the answer that is kept.",
        ),
        _header("ETag", "The version of the answer.", 200, 304),
        _header("Cache-Control", "How long the answer may be kept.", 200, 304),
        _header("Vary", "What the answer depends on.", 200, 304),
        CHALLENGE,
        RETRY,
    ],
    responses={
        200: NoticeboardAnswer,
        304: OpenApiResponse(description="Nothing changed; keep the answer that you have."),
        **_problems(**REFUSALS),
    },
)
pairing = extend_schema(
    operation_id="ask_for_pairing",
    summary="Ask to become a screen",
    description="Show the code; once the committee has typed it, the secret fetches the token.",
    parameters=[RETRY],
    request=None,
    responses={201: PairingAnswer, **_problems(**OPEN_REFUSALS)},
)
pairing_token = extend_schema(
    operation_id="fetch_token",
    summary="Fetch the token of a pairing, once",
    parameters=[CHALLENGE, RETRY],
    request=None,
    responses={
        200: PairingTokenAnswer,
        **_problems(**REFUSALS, on_410="The token was fetched already, or the screen was turned off."),
    },
)
