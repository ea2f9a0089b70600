"""The season's frosts and flights at a site, for its weather page."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate import YEARS_NEEDED, ClimateFault, Ensemble
from schedules.agronomy.flights import MODELS, first_day, flight_indices
from schedules.agronomy.frost import FrostDates, frost_record
from schedules.learning_selectors import SiteHistory

EVENT_WORDS = {
    "start": "first on the wing",
    "busiest": "busiest",
    "over": "first flight over",
    "second": "second flight begins",
    "second busiest": "second flight busiest",
    "third": "third flight begins",
    "third busiest": "third flight busiest",
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
    if early == late:
        return f"The {what} came about {middle} in most years ({counted}{without})."
    return (
        f"The {what} came about {middle} in the middle year, before {early} in one of ten, and after {late} "
        f"in one of ten ({counted}{without})."
    )


def _day_of_year(day: float, today: date) -> str:
    when = date(today.year, 1, 1) + timedelta(days=round(day) - 1)
    return f"{when.day} {when:%B}"


@dataclass(frozen=True, slots=True)
class FlightLine:
    """One event of one insect's year at a site."""

    insect: str
    event: str
    when: str
    source: str


def flight_lines(history: SiteHistory) -> list[FlightLine]:
    """When this season's flights are expected, each with its source; only insects known in the region."""
    southern = history.site.latitude < 0
    year = flight_year(history.today, southern)
    models = [MODELS[insect] for insect in history.site.insects if insect in MODELS]
    if not models:
        return []
    first = min(first_day(event, year, southern) for model in models for event in model.events.values())
    end = date(year + 1, 7, 1) if southern else date(year + 1, 1, 1)
    try:
        weather = history.weather(first=first, days=(end - first).days)
    except ClimateFault:
        return []
    return [
        FlightLine(
            insect=model.insect.replace("-", " "),
            event=EVENT_WORDS.get(name, name),
            when=_when(weather, index),
            source=model.events[name].source,
        )
        for model in models
        for name, index in flight_indices(model, weather, year, southern).items()
    ]


def flight_year(today: date, southern: bool) -> int:
    """The calendar year in which this season's counting starts: in the south a season spans two."""
    return today.year if not southern or today.month >= 7 else today.year - 1


def _when(weather: Ensemble, index: NDArray[np.int64]) -> str:
    reached = index[index >= 0]
    if reached.size < index.size / 2:
        return "hardly this season"
    early, middle, late = (
        weather.date_at(int(day)) for day in np.percentile(reached, (10, 50, 90), method="nearest")
    )
    if early == late:
        return f"{middle.day} {middle:%B}"
    return f"about {middle.day} {middle:%B}, between {early.day} {early:%B} and {late.day} {late:%B}"
