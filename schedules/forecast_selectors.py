"""Reading what is known of the coming hours. Nothing here writes, and nothing here asks the service."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from django.conf import settings

from plots.models import Site
from schedules.forecast.service import Place, Service
from schedules.models import ForecastHour, ForecastState
from society import clock

STALE_AFTER = timedelta(hours=12)
"""Past the expiry of the last answer: a night further on, an old forecast is no ground for a warning."""

TRIES_OF_TROUBLE = 3


class Why(StrEnum):
    """Why nothing is known of the coming hours."""

    OFF = "off"
    PRETENDED = "pretended"
    NEVER = "never"
    STALE = "stale"
    NOT_COVERED = "not_covered"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class SiteForecast:
    """The hours of a site, earliest first, those of the last day among them; empty with the reason why."""

    hours: tuple[ForecastHour, ...] = ()
    why_not: Why | None = None
    state: ForecastState | None = None

    @property
    def is_known(self) -> bool:
        return self.why_not is None


def the_service() -> Service:
    return Service(address=settings.FORECAST_URL, contact=settings.FORECAST_CONTACT)


def why_off() -> Why | None:
    """Why no service is asked at all, or None when one is."""
    if not settings.FORECAST_CONTACT:
        return Why.OFF
    # The service speaks of the real days to come, which say nothing of a day that is only shown.
    return Why.PRETENDED if clock.pretended_day() else None


def place_of(site: Site) -> Place:
    """Where a site lies. A height of 0 is what stands there until somebody says more, so it is not told."""
    return Place(site.latitude, site.longitude, site.height_m or None)


def site_forecasts(sites: Iterable[Site], *, now: datetime) -> dict[int, SiteForecast]:
    """What is known of each site, by its key: two queries whatever their number, none when switched off."""
    keys = {site.pk for site in sites}
    off = why_off()
    if off or not keys:
        return dict.fromkeys(keys, SiteForecast(why_not=off))
    states = {state.site_id: state for state in ForecastState.objects.filter(site__in=keys)}
    fresh = [key for key, state in states.items() if is_fresh(state, now=now)]
    hours: dict[int, list[ForecastHour]] = {}
    for hour in ForecastHour.objects.filter(site__in=fresh).order_by("at"):
        hours.setdefault(hour.site_id, []).append(hour)
    return {key: _of_site(states.get(key), hours.get(key, []), now) for key in keys}


def sites_in_trouble(*, now: datetime) -> list[SiteForecast]:
    """States that somebody should look at, one a site: refused, no such place, or failing for long.

    A try that failed while the last answer still holds mends itself, and being asked to wait is no trouble
    until that answer has run out. One query; none when the forecast is off.
    """
    if why_off():
        return []
    grave = {ForecastState.State.STOPPED, ForecastState.State.NOT_COVERED}
    slow = {ForecastState.State.FAILING, ForecastState.State.SLOWED}
    states = ForecastState.objects.filter(state__in=grave | slow).select_related("site")
    return [
        SiteForecast(why_not=_why_not(state), state=state)
        for state in states.order_by("site__name", "site_id")
        if state.state in grave or not is_fresh(state, now=now) or state.tries >= TRIES_OF_TROUBLE
    ]


def is_fresh(state: ForecastState, *, now: datetime) -> bool:
    return state.expires_at is not None and now < state.expires_at + STALE_AFTER


def _of_site(state: ForecastState | None, hours: list[ForecastHour], now: datetime) -> SiteForecast:
    if hours and hours[-1].at > now:
        return SiteForecast(hours=tuple(hours), state=state)
    return SiteForecast(why_not=_why_not(state), state=state)


def _why_not(state: ForecastState | None) -> Why:
    if state is None or state.state == ForecastState.State.NEVER:
        return Why.NEVER
    if state.state == ForecastState.State.STOPPED:
        return Why.STOPPED
    if state.state == ForecastState.State.NOT_COVERED:
        return Why.NOT_COVERED
    return Why.STALE if state.fetched_at else Why.NEVER
