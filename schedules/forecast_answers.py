"""What an answer of the forecast service means, and writing it down in one piece."""

import logging
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime

from django.db import transaction
from django.db.models import Q, QuerySet

from plots.models import Site
from schedules.forecast import pauses
from schedules.forecast.client import Answer
from schedules.forecast.days import ForecastDay, whole_days
from schedules.forecast.reading import HOUR, Step, Unreadable, hours_of, read_steps
from schedules.models import ForecastHour, ForecastState, WeatherDay
from society.zones import zone

logger = logging.getLogger(__name__)

State = ForecastState.State
HOURS_KEPT = timedelta(hours=60)
# From nine in the morning, when a night is over, back to a day before it began, and an hour for the clock.
HOURS_PAST = timedelta(hours=40)
JSON_TYPES = {"application/json", "application/geo+json"}
OLD_VERSION = "the service answers, and says that this version of it is on its way out"
LONGEST_PROBLEM = 200


@dataclass(frozen=True, slots=True)
class Outcome:
    """The state that an answer leads to; `steps` None keeps what is there."""

    state: State
    problem: str = ""
    steps: tuple[Step, ...] | None = None
    expires: datetime | None = None
    last_modified: str = ""
    wished_s: int | None = None


def judge(answer: Answer, row: ForecastState, *, now: datetime) -> Outcome:
    """Read an answer; whatever is wrong with it becomes a state and a few words."""
    expires = _instant(answer.expires)
    if answer.status in {200, 203}:
        return _read(answer, expires, now)
    if answer.status == 304 and row.last_modified:
        return Outcome(State.GOOD, expires=expires, last_modified=answer.last_modified or row.last_modified)
    wished_s = _seconds(answer.retry_after, now)
    if answer.status in {401, 403}:
        return Outcome(State.STOPPED, f"it refuses us ({answer.status}): its terms may have been broken")
    if answer.status in {404, 422}:
        return Outcome(State.NOT_COVERED, f"it has no forecast for this place ({answer.status})")
    if answer.status == 429:
        return Outcome(State.SLOWED, "it asked us to wait (429)", wished_s=wished_s)
    return Outcome(State.FAILING, f"it answered with status {answer.status}", wished_s=wished_s)


def _read(answer: Answer, expires: datetime | None, now: datetime) -> Outcome:
    if answer.content_type not in JSON_TYPES:
        what = answer.content_type or "of no stated kind"
        return Outcome(State.FAILING, f"its answer is {what}, not JSON")
    try:
        steps = read_steps(answer.body)
    except Unreadable as fault:
        return Outcome(State.FAILING, f"its answer cannot be read: {fault}")
    if not any(step.at >= now for step in hours_of(steps)):
        return Outcome(State.FAILING, "its answer holds no hour that is still to come")
    problem = OLD_VERSION if answer.status == 203 else ""
    return Outcome(State.GOOD, problem, steps, expires, answer.last_modified)


def outcome_keep(row: ForecastState, outcome: Outcome, *, now: datetime) -> None:
    """Write an outcome into the site's state, and a new forecast into its hours and days."""
    if outcome.problem:
        logger.warning("forecast for %s: %s", row.site.slug, outcome.problem)
    row.state, row.problem = outcome.state, outcome.problem[:LONGEST_PROBLEM]
    row.tries = 0 if outcome.state == State.GOOD else row.tries + 1
    row.next_try_at = _next_try(row, outcome, now)
    if outcome.state == State.GOOD:
        row.fetched_at = now
        row.expires_at = pauses.expiry(now, outcome.expires)
        row.last_modified = outcome.last_modified[:64]
    with transaction.atomic():
        if outcome.steps is not None:
            forecast_replace(row.site, outcome.steps, now=now)
        row.save()


def _next_try(row: ForecastState, outcome: Outcome, now: datetime) -> datetime | None:
    seed = row.site.slug
    if outcome.state == State.GOOD:
        return pauses.after_answer(now, pauses.expiry(now, outcome.expires), seed=seed)
    if outcome.state == State.STOPPED:
        return None
    if outcome.state == State.NOT_COVERED:
        return now + pauses.UNCOVERED + pauses.spread(seed, now)
    pause = pauses.after_slowing if outcome.state == State.SLOWED else pauses.after_failure
    return pause(now, row.tries, seed=seed, wished_s=outcome.wished_s)


def forecast_replace(site: Site, steps: Sequence[Step], *, now: datetime) -> None:
    """Put a new forecast in the place of what the old one said of the time to come, all of it or nothing."""
    here = zone(site.zone)
    today = now.astimezone(here).date()
    hours = [step for step in hours_of(tuple(steps)) if now - HOUR < step.at <= now + HOURS_KEPT]
    days = [day for day in whole_days(steps, here) if day.day >= today]
    # An answer of this morning does not hold the whole of today any more; one of last night did.
    kept = {} if any(day.day == today for day in days) else {"day": today}
    with transaction.atomic():
        _hours_outdated(site, hours, now).delete()
        ForecastHour.objects.bulk_create(_hour(site, step) for step in hours)
        old = WeatherDay.objects.filter(site=site, kind=WeatherDay.Kind.FORECAST)
        (old.exclude(**kept) if kept else old).delete()
        WeatherDay.objects.bulk_create(_weather_day(site, day) for day in days)


def _hours_outdated(site: Site, hours: Sequence[Step], now: datetime) -> QuerySet[ForecastHour]:
    """What the new hours replace, and what is over for good. Hours just past stay: the night has begun."""
    first = hours[0].at if hours else now
    return ForecastHour.objects.filter(Q(at__gte=first) | Q(at__lte=now - HOURS_PAST), site=site)


def _hour(site: Site, step: Step) -> ForecastHour:
    return ForecastHour(
        site=site,
        at=step.at,
        air_c=step.air_c,
        wind_ms=_known(step.wind_ms),
        rain_mm=_known(step.rain_mm),
        humidity_pct=_known(step.humidity_pct),
    )


def _weather_day(site: Site, day: ForecastDay) -> WeatherDay:
    return WeatherDay(
        site=site,
        day=day.day,
        kind=WeatherDay.Kind.FORECAST,
        tmin_c=day.tmin_c,
        tmax_c=day.tmax_c,
        rain_mm=_known(day.rain_mm),
        wind_ms=_known(day.wind_ms),
    )


def _known(value: float) -> float | None:
    return None if math.isnan(value) else value


def _instant(header: str) -> datetime | None:
    """An HTTP date; None where there is none or it is none."""
    try:
        at = parsedate_to_datetime(header)
    except ValueError:
        return None
    return (at if at.tzinfo else at.replace(tzinfo=UTC)).astimezone(UTC)


def _seconds(header: str, now: datetime) -> int | None:
    """Retry-After: a number of seconds, or an HTTP date."""
    if header.strip().isdecimal():
        return min(int(header), 10**9)
    at = _instant(header)
    return max(0, round((at - now).total_seconds())) if at else None
