"""What the house knows of a site on a day: its soil, its rain, the odds of frost. Worked out once a day."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime
from typing import Any

import numpy as np

from plots.models import Site
from schedules.agronomy.climate import ClimateFault
from schedules.agronomy.frost_odds import cold_night_of
from schedules.agronomy.thermal_time import NEVER
from schedules.learning_selectors import SiteHistory
from schedules.models import SiteDay
from schedules.weather_selectors import climate

WEEK_DAYS = 7
RAIN_WORTH_TELLING_MM = 1.0
LOOKS_BACK_DAYS = 60
FROST_C = 0.0

Values = Mapping[str, Any]


def site_days_read(sites: Iterable[Site], *, today: date) -> dict[int, Values]:
    """By site, what is known of it on a day: one query where it is kept, and worked out where it is not."""
    wanted = {site.pk: site for site in sites}
    kept = SiteDay.objects.filter(site__in=wanted, day=today).values_list("site", "values")
    found: dict[int, Values] = dict(kept)
    return found | {pk: site_values(site, today=today) for pk, site in wanted.items() if pk not in found}


def site_days_keep(sites: Iterable[Site], *, today: date, now: datetime) -> None:
    """Keep what is known of these sites today, for all letters that are written on it."""
    wanted = {site.pk: site for site in sites}
    kept = set(SiteDay.objects.filter(site__in=wanted, day=today).values_list("site", flat=True))
    rows = [
        SiteDay(site=site, day=today, values=site_values(site, today=today), worked_out_at=now)
        for pk, site in wanted.items()
        if pk not in kept
    ]
    SiteDay.objects.bulk_create(rows, ignore_conflicts=True)


def site_values(site: Site, *, today: date) -> dict[str, Any]:
    """Figures in °C and mm by name; what is not known is left out."""
    history = SiteHistory(site, today)
    return {**_soil(history), **_rain(history), **_frost(site, today)}


def _soil(history: SiteHistory) -> dict[str, Any]:
    estimate_c = history.soil_estimate_c()
    if estimate_c is None:
        return {}
    return {
        "soil_c": round(estimate_c + history.soil.correction_c, 1),
        "is_corrected": history.soil.days > 0,
    }


def _rain(history: SiteHistory) -> dict[str, Any]:
    """The last day with a millimetre or more, in the unbroken run of days at the end of the record."""
    observed = history.observed
    if observed is None:
        return {}
    rain_mm, dates = observed.rain_mm[-LOOKS_BACK_DAYS:], observed.dates[-LOOKS_BACK_DAYS:]
    known = np.flatnonzero(~np.isnan(rain_mm))
    if not known.size:
        return {}
    last = int(known[-1])
    gaps = np.flatnonzero(np.isnan(rain_mm[:last]))
    first = int(gaps[-1]) + 1 if gaps.size else 0
    told: dict[str, Any] = {"rain_since": _day(dates[first]), "rain_until": _day(dates[last])}
    wet = np.flatnonzero(rain_mm[first : last + 1] >= RAIN_WORTH_TELLING_MM)
    if wet.size:
        at = first + int(wet[-1])
        told |= {"rain_on": _day(dates[at]), "rain_mm": round(float(rain_mm[at]), 1)}
    return told


def _day(when: np.datetime64) -> str:
    return str(when.astype("datetime64[D]"))


def _frost(site: Site, today: date) -> dict[str, Any]:
    """How many of the site's past years, or of a hundred such weeks, bring a night at 0 °C or less."""
    try:
        week = climate(site, today=today, first=today, days=WEEK_DAYS)
    except ClimateFault:
        return {}
    frosty = cold_night_of(week, FROST_C, 0, WEEK_DAYS) != NEVER
    return {
        "frost_basis": week.basis,
        "frost_members": int(frosty.size),
        "frosty": int(frosty.sum()),
        "forecast_until": week.forecast_until.isoformat() if week.forecast_until else None,
    }
