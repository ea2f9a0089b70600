"""Time zones as a model field stores them: a name that zoneinfo knows."""

from functools import cache
from zoneinfo import ZoneInfo, available_timezones

from django.core.exceptions import ValidationError


@cache
def zone_names() -> frozenset[str]:
    return frozenset(available_timezones())


def validate_zone(name: str) -> None:
    if name not in zone_names():
        raise ValidationError(f"{name!r} is not a time zone; write one like Europe/London")


def zone(name: str) -> ZoneInfo:
    validate_zone(name)
    return ZoneInfo(name)
