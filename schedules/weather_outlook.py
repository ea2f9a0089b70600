"""The season's frosts and flights at a site, as sentences for its weather page."""

from collections.abc import Iterator
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate import YEARS_NEEDED, ClimateFault, Ensemble
from schedules.agronomy.flights import CARROT_FLY, flight_indices
from schedules.agronomy.frost import FrostDates, frost_record
from schedules.learning_selectors import SiteHistory

FLIGHT_DAYS = 300
NO_WEATHER = "Nothing can be said before some weather is known."
EVENT_WORDS = {
    "start": "the first flies of the carrot fly",
    "busiest": "most of them",
    "over": "the end of the first flight",
    "second": "the second flight",
    "third": "a third flight, which only warm autumns bring",
}


def frost_lines(history: SiteHistory) -> Iterator[str]:
    """When the last and the first frost came in the years on record."""
    if history.observed is None:
        yield "No night was observed yet, so nothing is known of frost here."
        return
    found = frost_record(history.observed, southern=history.site.latitude < 0)
    yield _frost_words("last frost of spring", found.spring, history.today)
    yield _frost_words("first frost of autumn", found.autumn, history.today)
    yield (
        "Frost here is a night at 0 °C (32 °F) or below where the thermometer hangs. In a hollow, or near "
        "the ground on a clear night, it may freeze though the thermometer stays above."
    )


def _frost_words(what: str, dates: FrostDates, today: date) -> str:
    years = dates.years.size
    frosty = int(np.isfinite(dates.days).sum())
    counted = f"{years} year{'' if years == 1 else 's'} on record"
    if not years:
        return f"The {what} is not known yet: the record holds no whole half-year without a doubtful night."
    if not frosty:
        return f"The {what}: none in {counted}."
    without = f"; {years - frosty} had none" if frosty < years else ""
    if years < YEARS_NEEDED:
        early, late = (_day_of_year(day, today) for day in (np.nanmin(dates.days), np.nanmax(dates.days)))
        seen = f"on {early}" if early == late else f"between {early} and {late}"
        return f"The {what} came {seen} ({counted}{without}). That is too few for odds."
    early, middle, late = (_day_of_year(day, today) for day in dates.percentiles())
    return (
        f"The {what} came about {middle} in the middle year, before {early} in one of ten, and after {late} "
        f"in one of ten ({counted}{without})."
    )


def _day_of_year(day: float, today: date) -> str:
    when = date(today.year, 1, 1) + timedelta(days=round(day) - 1)
    return f"{when.day} {when:%B}"


def flight_lines(history: SiteHistory) -> Iterator[str]:
    """When this season's flights are expected, each with its source; only insects known in the region."""
    if "carrot-fly" not in history.site.insects:
        yield "The carrot fly is not among the insects known in this region; the committee keeps the list."
        return
    southern = history.site.latitude < 0
    year, first = flight_year(history.today, southern)
    try:
        weather = history.weather(first=first, days=FLIGHT_DAYS)
    except ClimateFault:
        yield NO_WEATHER
        return
    for event, index in flight_indices(CARROT_FLY, weather, year, southern).items():
        words = f"{EVENT_WORDS[event].capitalize()}: {_when(weather, index)}"
        yield f"{words}. Source: {CARROT_FLY.sources[event]}."


def flight_year(today: date, southern: bool) -> tuple[int, date]:
    """The year in which this season's counting starts, and its first day."""
    month, day = CARROT_FLY.starts
    if southern:
        month = (month + 5) % 12 + 1
        year = today.year if today.month >= 7 else today.year - 1
    else:
        year = today.year
    return year, date(year, month, day)


def _when(weather: Ensemble, index: NDArray[np.int64]) -> str:
    reached = index[index >= 0]
    if reached.size < index.size / 2:
        return "not this season in most years"
    early, middle, late = (
        weather.date_at(int(day)) for day in np.percentile(reached, (10, 50, 90), method="nearest")
    )
    if early == late:
        return f"{middle.day} {middle:%B}"
    return f"about {middle.day} {middle:%B}, between {early.day} {early:%B} and {late.day} {late:%B}"
