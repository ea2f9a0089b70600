"""The night in a few words: what a line comes to, why nothing is known, and how fresh the forecast is."""

from datetime import datetime

from plots.models import Site
from schedules.forecast_selectors import SiteForecast, Why
from schedules.planner.rules.tonight import Rating, Tonight
from schedules.planner.sentences import Units
from schedules.planner.sentences.wording import Figures
from schedules.wording import ago_words
from society.zones import zone

FROST, COVER, LIFT, THIN, SLUGS = "Frost", "Cover", "Lift", "Thin", "Slugs"

OFF = "This server asks no forecast service; whoever runs it can switch that on."
PRETENDED = "The pages show a day that is only pretended, and of that no forecast service knows."
NOT_COVERED = "The forecast service has no forecast for this place."
STOPPED = (
    "The forecast service refuses this server’s questions. Whoever runs it should read the service’s terms "
    "and see to the contact that it gives."
)


NOT_KNOWN = "Not known: the forecast does not reach that far."
FIXED = {
    (THIN, Rating.GOOD): "A good evening for it.",
    (THIN, Rating.FAIR): "A fair evening for it.",
    (THIN, Rating.POOR): "A poor evening for it; leave it if it can wait.",
    (SLUGS, Rating.MANY): "A night for slugs.",
    (SLUGS, Rating.SOME): "Some may be about.",
    (SLUGS, Rating.FEW): "Few are likely.",
    (COVER, Rating.COVER): "Cover before dark what the night may harm:",
    (LIFT, Rating.COVER): "Lift before dark what you need, or lay straw over the rows.",
}


def short_words(word: str, found: Tonight, units: Units) -> str:
    """What an answer comes to, in one short sentence; the long one stands under 'why'."""
    if found.rating == Rating.NOT_KNOWN:
        return NOT_KNOWN
    if word != FROST:
        return FIXED[word, found.rating]
    figures = Figures(found.reason.values, units)
    if found.rating == Rating.NO_FROST:
        return f"None expected; down to {figures.degrees('lowest_c')}."
    return f"Down to {figures.degrees('lowest_c')}: {figures.text('word')}."


def not_known_words(forecast: SiteForecast, site: Site, *, now: datetime) -> str:
    """Why nothing is known of the night, in whole sentences."""
    fixed = {Why.OFF: OFF, Why.PRETENDED: PRETENDED, Why.NOT_COVERED: NOT_COVERED, Why.STOPPED: STOPPED}
    if forecast.why_not in fixed:
        return fixed[forecast.why_not]
    state = forecast.state
    if state is None or not state.problem:
        return "The forecast service has not been asked yet; it will be within minutes."
    if state.fetched_at is None:
        return f"No forecast could be had yet from the service: {state.problem}."
    heard = ago_words(state.fetched_at, now=now, zone=zone(site.zone))
    return f"No forecast could be had from the service since {_since(heard)}: {state.problem}."


def _since(ago: str) -> str:
    """'since 12 April, 14:05', not 'since on 12 April'."""
    return ago.removeprefix("on ")


def heard_words(forecast: SiteForecast, site: Site, *, now: datetime) -> str:
    """When the forecast was fetched: 'today, 13:05'."""
    state = forecast.state
    return ago_words(state.fetched_at, now=now, zone=zone(site.zone)) if state and state.fetched_at else ""


def warning_words(forecast: SiteForecast) -> str:
    """What went wrong since, or what the service warned of; empty when all is well."""
    state = forecast.state
    return f"{state.problem[:1].upper()}{state.problem[1:]}." if state and state.problem else ""
