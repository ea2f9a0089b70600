"""When to ask again. Pure: every function takes the instant it is asked at."""

import zlib
from datetime import datetime, timedelta

LEAST = timedelta(hours=1)
"""Between two good answers: outside the north the service reckons anew four times a day."""
FIRST = timedelta(minutes=5)
LONGEST = timedelta(hours=6)
SLOWED_FIRST, SLOWED_LONGEST = timedelta(hours=1), timedelta(hours=24)
SPREAD_S = 600
NO_EXPIRY_BEYOND = timedelta(days=7)
UNCOVERED = timedelta(days=7)


def expiry(now: datetime, stated: datetime | None) -> datetime:
    """Until when an answer is the newest; one past, over a week off or not stated is taken for an hour."""
    is_sound = stated is not None and now < stated <= now + NO_EXPIRY_BEYOND
    return stated if is_sound and stated else now + LEAST


def after_answer(now: datetime, expires: datetime, *, seed: str) -> datetime:
    """Never before the answer expires, and not within the hour."""
    return max(expires, now + LEAST) + spread(seed, expires)


def after_failure(now: datetime, tries: int, *, seed: str, wished_s: int | None = None) -> datetime:
    """Five minutes, then twice as long each time up to six hours; longer where the service asks for it."""
    return now + _longer(_doubled(FIRST, tries, LONGEST), wished_s) + spread(seed, now)


def after_slowing(now: datetime, tries: int, *, seed: str, wished_s: int | None = None) -> datetime:
    """An hour, then twice as long each time up to a day."""
    return now + _longer(_doubled(SLOWED_FIRST, tries, SLOWED_LONGEST), wished_s) + spread(seed, now)


def spread(seed: str, at: datetime) -> timedelta:
    """A share of ten minutes that differs from site to site and from time to time, the same when repeated."""
    return timedelta(seconds=zlib.crc32(f"{seed} {at.isoformat()}".encode()) % SPREAD_S)


def _doubled(first: timedelta, tries: int, longest: timedelta) -> timedelta:
    return min(longest, first * 2 ** min(max(tries - 1, 0), 20))


def _longer(pause: timedelta, wished_s: int | None) -> timedelta:
    """The service's own wish counts where it is longer, up to a week."""
    return max(pause, min(timedelta(seconds=wished_s or 0), NO_EXPIRY_BEYOND))
