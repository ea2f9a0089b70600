"""Keeping forecasts: asking in time and never too often, taking an answer whole or not at all.

A failing service never removes what was good before it is too old to go by, and never raises into its
caller: what went wrong is written into the site's ForecastState.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from time import monotonic

from django.db import transaction
from django.db.models import F, Q

from plots.models import Site
from schedules import forecast_answers as answers
from schedules.forecast import client
from schedules.forecast.service import Service, target
from schedules.forecast_selectors import STALE_AFTER, place_of, the_service, why_off
from schedules.models import ForecastHour, ForecastState, WeatherDay

State = ForecastState.State
LONGEST_RUN_S = client.WHOLE_S
"""In the embedded mode letters wait behind this run: however many sites, it ends within one time limit."""
LEAST_LEFT_S = 5.0
CLAIM = timedelta(minutes=5)
# Troubles of the service as a whole: the other sites wait for their next turn.
OF_THE_SERVICE = {State.FAILING, State.SLOWED, State.STOPPED}


@dataclass(frozen=True, slots=True)
class Refresh:
    asked: int = 0
    good: int = 0


def forecasts_refresh(*, now: datetime) -> Refresh:
    """Ask for every site whose time has come, the longest waiting first, and drop what is too old."""
    stale_remove(now=now)
    if why_off():
        return Refresh()
    _rows_make(now)
    service, ends = the_service(), monotonic() + LONGEST_RUN_S
    asked = good = 0
    for row in due_rows(service, now=now):
        left_s = ends - monotonic()
        if left_s < LEAST_LEFT_S:
            break
        if not _claim(row, now):
            continue
        outcome = _ask_for(row, service, now=now, whole_s=left_s)
        asked, good = asked + 1, good + (outcome == State.GOOD)
        if outcome in OF_THE_SERVICE:
            break
    return Refresh(asked, good)


def forecast_fetch(*, site: Site, now: datetime) -> tuple[ForecastState, bool]:
    """Ask for one site because somebody wants it; its state, and whether the service was asked.

    Nobody's wish outruns the service's terms: no question before the last answer expires, nor while the
    service asked for a pause.
    """
    stale_remove(now=now)
    _rows_make(now)
    row = ForecastState.objects.select_related("site").get(site=site)
    if why_off() or _must_wait(row, the_service(), now) or not _claim(row, now):
        return row, False
    _ask_for(row, the_service(), now=now, whole_s=client.WHOLE_S)
    row.refresh_from_db()
    return row, True


def stale_remove(*, now: datetime) -> None:
    """Drop hours and days of forecasts that are too old to go by, so that no plan leans on them."""
    stale = ForecastState.objects.filter(expires_at__lte=now - STALE_AFTER)
    with transaction.atomic():
        sites = list(stale.values_list("site", flat=True))
        ForecastHour.objects.filter(site__in=sites).delete()
        WeatherDay.objects.filter(site__in=sites, kind=WeatherDay.Kind.FORECAST).delete()
        # Without the hours a 304 would leave us with nothing.
        stale.exclude(last_modified="").update(last_modified="")


def due_rows(service: Service, *, now: datetime) -> list[ForecastState]:
    """States whose time has come; a site that moved, or a refusal of another contact, is asked anew."""
    rows = ForecastState.objects.select_related("site").order_by(F("next_try_at").asc(nulls_last=True), "pk")
    return [row for row in rows if _is_due(row, service, now)]


def _is_due(row: ForecastState, service: Service, now: datetime) -> bool:
    if row.next_try_at is not None and row.next_try_at <= now:
        return True
    if row.state == State.STOPPED:
        return not row.asked_as.startswith(_asker(service))
    return row.state in {State.GOOD, State.NOT_COVERED} and row.asked_as != asked_as(service, row.site)


def _must_wait(row: ForecastState, service: Service, now: datetime) -> bool:
    if row.asked_as != asked_as(service, row.site):
        return False
    if row.state == State.SLOWED:
        return row.next_try_at is not None and now < row.next_try_at
    return row.expires_at is not None and now < row.expires_at


def _asker(service: Service) -> str:
    return f"{service.address} {service.contact} "


def asked_as(service: Service, site: Site) -> str:
    return _asker(service) + target(place_of(site)).partition("?")[2]


def _rows_make(now: datetime) -> None:
    missing = Site.objects.filter(forecast_state__isnull=True)
    rows = [ForecastState(site=site, next_try_at=now) for site in missing]
    ForecastState.objects.bulk_create(rows, ignore_conflicts=True)


def _claim(row: ForecastState, now: datetime) -> bool:
    """Move the next try on, if nobody else has; a worker that dies leaves the site to be asked again."""
    unmoved = Q(next_try_at=row.next_try_at) if row.next_try_at else Q(next_try_at__isnull=True)
    return bool(ForecastState.objects.filter(unmoved, pk=row.pk).update(next_try_at=now + CLAIM))


def _ask_for(row: ForecastState, service: Service, *, now: datetime, whole_s: float) -> str:
    """Ask, and write down what came of it; the new state."""
    name = asked_as(service, row.site)
    if row.asked_as != name:
        row.last_modified = ""
    try:
        answer = client.ask(service, place_of(row.site), last_modified=row.last_modified, whole_s=whole_s)
    except client.NoAnswer as fault:
        outcome = answers.Outcome(State.FAILING, problem=str(fault))
    else:
        outcome = answers.judge(answer, row, now=now)
    row.asked_as = name
    with transaction.atomic():
        answers.outcome_keep(row, outcome, now=now)
        _others_wait(row, service, outcome)
    return outcome.state


def _others_wait(row: ForecastState, service: Service, outcome: answers.Outcome) -> None:
    """A refusal or a wish to slow down is meant for the server as a whole, not for one site of it."""
    others = ForecastState.objects.exclude(pk=row.pk)
    if outcome.state == State.SLOWED:
        others.filter(next_try_at__lt=row.next_try_at).update(next_try_at=row.next_try_at)
    if outcome.state == State.STOPPED:
        stopped = list(others.select_related("site"))
        for other in stopped:
            other.state, other.problem, other.next_try_at = State.STOPPED, row.problem, None
            other.asked_as = asked_as(service, other.site)
        ForecastState.objects.bulk_update(stopped, ["state", "problem", "next_try_at", "asked_as"])
