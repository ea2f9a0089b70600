"""Quiet hours: what comes up in them waits until they end."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from society import clock
from society.models import LetterPreference

DAY = timedelta(days=1)


def after_quiet(instant: datetime, wishes: LetterPreference, zone: ZoneInfo) -> datetime:
    """The instant itself, or the end of the quiet hours that it lies in, by the member's clock."""
    begins, ends = wishes.quiet_from, wishes.quiet_until
    local = instant.astimezone(zone)
    over_midnight = begins > ends
    if begins == ends:
        return instant
    if over_midnight and local.hour >= begins:
        return clock.instant_of(local.date() + DAY, ends, zone)
    is_quiet = local.hour < ends if over_midnight else begins <= local.hour < ends
    return clock.instant_of(local.date(), ends, zone) if is_quiet else instant
