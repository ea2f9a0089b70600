"""The one place that reads the clock. Only doors call it; everything else takes its time as an argument."""

from datetime import UTC, date, datetime
from zoneinfo import ZoneInfo

from django.conf import settings
from django.core.exceptions import ImproperlyConfigured


def now() -> datetime:
    """This instant in UTC; with COMMONROW_TODAY set, the same time of day on that date."""
    instant = datetime.now(UTC)
    day = pretended_day()
    return instant if day is None else datetime.combine(day, instant.time(), UTC)


def pretended_day() -> date | None:
    """The day that COMMONROW_TODAY asks to be shown, or None."""
    text = settings.PRETEND_TODAY
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError as fault:
        raise ImproperlyConfigured(f"COMMONROW_TODAY: {text!r} is not a date like 2027-04-12") from fault


def local_date(instant: datetime, zone: ZoneInfo) -> date:
    """The date in a zone at an instant. A pretended date is that date everywhere."""
    return pretended_day() or instant.astimezone(zone).date()


def today(zone: ZoneInfo) -> date:
    return local_date(now(), zone)


def instant_of(day: date, hour: int, zone: ZoneInfo, minute: int = 0) -> datetime:
    """The UTC instant of a local wall time: the first that is there at or after it.

    A wall time that the spring change skips is the instant of the change, so that no later hour of the day
    comes before it; one that the autumn change repeats means its first occurrence (fold 0).
    """
    local = datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone, fold=0)
    instant = local.astimezone(UTC)
    if instant.astimezone(zone).replace(tzinfo=None) == local.replace(tzinfo=None):
        return instant
    # In a gap fold 0 stands for the offset before the change and fold 1 for the one after it.
    before, after = sorted((instant, local.replace(fold=1).astimezone(UTC)))
    return _change_between(before, after, zone)


def _change_between(before: datetime, after: datetime, zone: ZoneInfo) -> datetime:
    """The first second of the offset that holds in a zone at ``after`` and not yet at ``before``."""
    new = after.astimezone(zone).utcoffset()
    low, high = int(before.timestamp()), int(after.timestamp())
    while high - low > 1:
        middle = (low + high) // 2
        is_new = datetime.fromtimestamp(middle, zone).utcoffset() == new
        low, high = (low, middle) if is_new else (middle, high)
    return datetime.fromtimestamp(high, UTC)
