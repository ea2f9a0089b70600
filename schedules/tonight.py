"""What the night ahead means for a site and for the sowings that somebody works there. Nothing here writes.

Without a forecast every question is answered 'not known' with the reason, and there is nothing to send.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

import numpy as np

from plots.crops import Crop
from plots.crops import crop as crop_of
from plots.models import Plot, Site, Sowing
from schedules.agronomy.evenings import Hours, night_of
from schedules.forecast.service import CREDIT, Credit
from schedules.forecast_selectors import SiteForecast, site_forecasts
from schedules.models import Job
from schedules.planner import SiteFacts
from schedules.planner.rules.tonight import (
    YOUNG_DAYS,
    Rating,
    Tonight,
    cover_tonight,
    frost_tonight,
    lift_tonight,
    slug_night,
    thin_tonight,
)
from schedules.planner.sentences import Units, sentence
from schedules.site_facts import site_facts
from schedules.tonight_rain import rain_of_last_day, rain_of_yesterday
from schedules.tonight_sowings import Standing, standing_sowings
from schedules.tonight_words import (
    COVER,
    FROST,
    LIFT,
    SLUGS,
    THIN,
    heard_words,
    not_known_words,
    short_words,
    warning_words,
)
from society.zones import zone

BEFORE_DARK = {Rating.FROST, Rating.COVER, Rating.GOOD}
# Until four in the morning 'tonight' is the night that has begun.
NIGHT_IS_OVER = timedelta(hours=4)


@dataclass(frozen=True, slots=True)
class Line:
    """One answer: a word for the margin, what it comes to, whom it concerns, and why with the sources."""

    word: str
    rating: Rating
    text: str
    whys: tuple[str, ...]
    sources: tuple[str, ...]
    sowings: tuple[Standing, ...] = ()
    why_of: Mapping[int, str] = field(default_factory=dict)
    """By sowing, which of the reasons is its own, where there is one for each kind of crop."""

    @property
    def is_pressing(self) -> bool:
        return self.word == COVER and self.rating == Rating.COVER


@dataclass(frozen=True, slots=True)
class SiteTonight:
    """The night of one site; ``why_not`` says why nothing is known, and then there are no lines."""

    site: Site
    lines: tuple[Line, ...] = ()
    why_not: str = ""
    heard: str = ""
    warning: str = ""
    credit: Credit = CREDIT

    @property
    def is_urgent(self) -> bool:
        """Whether something is to be done before dark, and so stands before the week."""
        return any(line.rating in BEFORE_DARK for line in self.lines)


def tonight_on(
    plots: Sequence[Plot],
    jobs: Iterable[Job],
    *,
    now: datetime,
    units: str,
    only: Sowing | None = None,
    evening: date | None = None,
) -> list[SiteTonight]:
    """The night on each site of these plots, in the order of the sites' names.

    ``jobs`` are the open jobs at hand: they say which thinning and which lifting windows are open. Without a
    forecast there is no query at all when it is switched off; with one there are five, whatever the number
    of plots. ``only`` asks for one sowing alone. ``evening`` is the local day whose night is meant, where it
    is not the one of now.
    """
    sites = sorted({plot.site for plot in plots}, key=lambda site: (site.name, site.pk))
    forecasts = site_forecasts(sites, now=now)
    known = [site for site in sites if forecasts[site.pk].is_known]
    standing = standing_sowings([plot for plot in plots if plot.site in known], jobs, now=now, only=only)
    evenings = {site.pk: evening or evening_of_now(site, now) for site in known}
    rain = rain_of_yesterday(evenings)
    return [
        _night(site, forecasts[site.pk], standing, rain.get(site.pk), now, units, evenings.get(site.pk))
        for site in sites
    ]


def tonight_for(sowing: Sowing, jobs: Iterable[Job], *, now: datetime, units: str) -> SiteTonight | None:
    """The night as it concerns one sowing; None where it does not."""
    if sowing.state != Sowing.State.SOWN:
        return None
    mine = [job for job in jobs if job.sowing_id == sowing.pk]
    [night] = tonight_on([sowing.patch.plot], mine, now=now, units=units, only=sowing)
    if night.why_not:
        return night if _asks_to_thin(sowing, mine, evening_of_now(night.site, now)) else None
    lines = tuple(line for line in night.lines if line.sowings)
    return replace(night, lines=lines) if lines else None


def evening_of_now(site: Site, now: datetime) -> date:
    """The local day whose evening and night are 'tonight'."""
    return (now.astimezone(zone(site.zone)) - NIGHT_IS_OVER).date()


def _night(
    site: Site,
    forecast: SiteForecast,
    standing: Sequence[Standing],
    yesterday_mm: float | None,
    now: datetime,
    units: str,
    today: date | None,
) -> SiteTonight:
    if not forecast.is_known or today is None:
        return SiteTonight(site, why_not=not_known_words(forecast, site, now=now))
    hours, facts = _hours(forecast), site_facts(site)
    mine = [each for each in standing if each.sowing.patch.site_id == site.pk]
    frost = frost_tonight(hours, facts, today, words=site.frost_words)
    night = night_of(hours, zone=zone(site.zone), today=today)
    rain_before_mm = rain_of_last_day(hours, night, yesterday_mm)
    slugs = slug_night(hours, facts, today, rain_before_mm=rain_before_mm)
    young = (
        tuple(each for each in mine if each.is_young) if slugs.rating in {Rating.MANY, Rating.SOME} else ()
    )
    lines = [
        _line(FROST, [frost], (), units),
        *(covering := _covering(hours, facts, today, mine, units)),
        *_lifting(hours, facts, today, mine, units, told=covering),
        *_thinning(hours, facts, today, mine, units),
        _line(SLUGS, [slugs], young, units),
    ]
    return SiteTonight(
        site,
        tuple(lines),
        heard=heard_words(forecast, site, now=now),
        warning=warning_words(forecast),
    )


def _covering(
    hours: Hours, facts: SiteFacts, today: date, mine: Sequence[Standing], units: str
) -> list[Line]:
    """One line for all that the night may harm, with a reason for each kind of crop in it."""
    groups: dict[tuple[str, bool], list[Standing]] = {}
    for each in mine:
        if each.is_up:
            groups.setdefault((each.crop.key, each.is_young), []).append(each)
    asked = [
        (cover_tonight(hours, facts, today, crop=sowings[0].crop, young=sowings[0].is_young), sowings)
        for sowings in groups.values()
    ]
    wanted = [(found, rows) for found, rows in asked if found and found.rating == Rating.COVER]
    if not wanted:
        return []
    sowings = tuple(each for _, rows in wanted for each in rows)
    line = _line(COVER, [found for found, _ in wanted], sowings, units)
    own = {each.sowing.pk: _why(found, units) for found, rows in wanted for each in rows}
    return [replace(line, why_of=own)]


def _lifting(
    hours: Hours,
    facts: SiteFacts,
    today: date,
    mine: Sequence[Standing],
    units: str,
    *,
    told: Sequence[Line],
) -> list[Line]:
    """What is ready to be dug and no cover is asked for: that line says of its own what may be lifted."""
    covered = {each.sowing.pk for line in told for each in line.sowings}
    asked = [
        (lift_tonight(hours, facts, today, crop=each.crop), each)
        for each in mine
        if each.is_to_lift and each.sowing.pk not in covered
    ]
    found = [(answer, each) for answer, each in asked if answer is not None]
    if not found:
        return []
    line = _line(LIFT, [answer for answer, _ in found], tuple(each for _, each in found), units)
    return [replace(line, why_of={each.sowing.pk: _why(answer, units) for answer, each in found})]


def _thinning(
    hours: Hours, facts: SiteFacts, today: date, mine: Sequence[Standing], units: str
) -> list[Line]:
    """Whether the evening suits a thinning whose window is open, where a fly goes by the smell of it."""
    groups: dict[bool, list[Standing]] = {}
    for each in mine:
        if each.is_to_thin and drawn_by_smell(each.crop):
            groups.setdefault(each.is_covered, []).append(each)
    flies = "carrot-fly" in facts.insects
    return [
        _line(
            THIN,
            [thin_tonight(hours, facts, today, covered=covered, flies_about=flies)],
            tuple(sowings),
            units,
        )
        for covered, sowings in groups.items()
    ]


def drawn_by_smell(crop: Crop) -> bool:
    fact = crop.get("flight")
    return fact is not None and "carrot-fly" in str(fact.value).split(";")


def _asks_to_thin(sowing: Sowing, jobs: Iterable[Job], today: date) -> bool:
    return drawn_by_smell(crop_of(sowing.crop)) and any(
        job.kind == "thin" and job.state == Job.State.OPEN and job.start_on <= today for job in jobs
    )


def _line(word: str, answers: Sequence[Tonight], sowings: tuple[Standing, ...], units: str) -> Line:
    """Put answers of one rating into one line."""
    return Line(
        word=word,
        rating=answers[0].rating,
        text=short_words(word, answers[0], _read_in(units)).replace(" °", "\u00a0°"),
        whys=tuple(dict.fromkeys(_why(each, units) for each in answers)),
        sources=tuple(dict.fromkeys(each.reason.source for each in answers)),
        sowings=sowings,
    )


def _why(answer: Tonight, units: str) -> str:
    return sentence(answer.reason, _read_in(units))


def _read_in(units: str) -> Units:
    return "imperial" if units == "imperial" else "metric"


def _hours(forecast: SiteForecast) -> Hours:
    rows = forecast.hours
    return Hours(
        tuple(row.at for row in rows),
        np.array([row.air_c for row in rows], dtype=float),
        np.array([row.wind_ms for row in rows], dtype=float),
        np.array([row.rain_mm for row in rows], dtype=float),
    )


__all__ = ["YOUNG_DAYS", "Line", "SiteTonight", "tonight_for", "tonight_on"]
