"""What this evening and this night ask for, out of an hourly forecast. No forecast is never good news."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from zoneinfo import ZoneInfo

from plots.crops import Crop
from schedules.agronomy import slugs
from schedules.agronomy.evenings import Evening, Hours, Night, evening_of, night_of
from schedules.agronomy.frost_words import frost_word
from schedules.planner.rules.frost import LIFT_BEFORE_FREEZING
from schedules.planner.sources import PRACTICE, THINNING_HOUR, joined
from schedules.planner.types import Reason, Scalar, SiteFacts

# Force 0 and 1 of the Beaufort scale end at 1.6 m/s, force 2 at 3.4 m/s (World Meteorological Organization).
STILL_MS, BREEZY_MS = 1.6, 3.4
DRY_MM, SHOWERY_MM = 0.1, 2.0
YOUNG_DAYS = 28
# Leaves on a clear, still night lie some degrees under the air of a screen: 36 °F is where the National
# Weather Service begins to warn of frost on them.
LEAF_FROST_C = 2.2
LIGHT_FROST_C, HARD_FREEZE_C = 0.0, -2.2

STILL_EVENING = f"still is under 1.6 m/s at 10 m in the three hours before sunset, dry: {PRACTICE}"
FORECAST = "the hourly forecast for this site"
LEAF_FROST = "National Weather Service: frost may form on leaves at 33 to 36 °F in the air, in light wind"
COVER_CLASSES = (
    "National Weather Service: frost on plants from 36 °F, freeze 32 °F, hard freeze 28 °F; laid to our "
    f"frost classes: {PRACTICE}"
)


class Rating(StrEnum):
    GOOD = "good"
    FAIR = "fair"
    POOR = "poor"
    NOT_KNOWN = "not_known"
    FROST = "frost"
    NO_FROST = "no_frost"
    COVER = "cover"
    MANY = "many"
    SOME = "some"
    FEW = "few"


@dataclass(frozen=True, slots=True)
class Tonight:
    """An answer for one evening or night, and why."""

    rating: Rating
    reason: Reason


def thin_tonight(
    hours: Hours, site: SiteFacts, today: date, *, covered: bool, flies_about: bool = True
) -> Tonight:
    """Rate this evening for thinning a crop that the carrot fly finds by its scent.

    Parameters
    ----------
    hours : Hours
        The forecast.
    site : SiteFacts
        Place and zone.
    today : datetime.date
        Local day.
    covered : bool
        Whether a mesh goes back on at once.
    flies_about : bool
        Whether flies may be on the wing in these weeks.

    Returns
    -------
    Tonight
        Good: still and dry. Fair: a light breeze, or a shower. Poor: more wind or rain. One worse where flies
        may be about and no mesh goes back on. Not known where the forecast does not hold those three hours.

    Notes
    -----
    No published limit of wind or hour was found; evidence on the hour is conflicting, and the sentence says
    so. Limits are those of the Beaufort scale.
    """
    evening = evening_of(
        hours,
        latitude_deg=site.latitude,
        longitude_deg=site.longitude,
        zone=ZoneInfo(site.zone),
        today=today,
    )
    if evening.wind_ms is None or evening.rain_mm is None:
        return _evening_not_known(evening, site)
    at_risk = flies_about and not covered
    step = _step_of(evening.wind_ms, evening.rain_mm) + at_risk
    rating = (Rating.GOOD, Rating.FAIR, Rating.POOR)[min(step, 2)]
    values: dict[str, Scalar] = {
        "rating": str(rating),
        "wind_ms": round(evening.wind_ms, 1),
        "rain_mm": round(evening.rain_mm, 1),
        "covered": covered,
        "flies_about": flies_about,
        **_clock(evening, site),
    }
    return Tonight(rating, Reason("thin_tonight", values, joined(FORECAST, STILL_EVENING, THINNING_HOUR)))


def _step_of(wind_ms: float, rain_mm: float) -> int:
    if wind_ms >= BREEZY_MS or rain_mm > SHOWERY_MM:
        return 2
    return int(wind_ms >= STILL_MS or rain_mm >= DRY_MM)


def _evening_not_known(evening: Evening, site: SiteFacts) -> Tonight:
    return Tonight(Rating.NOT_KNOWN, Reason("evening_not_known", _clock(evening, site), FORECAST))


def _clock(evening: Evening, site: SiteFacts) -> dict[str, Scalar]:
    """Return the evening's hours by the clock of the place."""
    zone = ZoneInfo(site.zone)
    return {
        "from_time": f"{evening.begins.astimezone(zone):%H:%M}",
        "until_time": f"{evening.ends.astimezone(zone):%H:%M}",
        "sun_sets": evening.sunset is not None,
    }


def frost_tonight(hours: Hours, site: SiteFacts, today: date, *, words: str = "uk") -> Tonight:
    """Say whether the coming night brings frost, in the words of a country, the number beside them.

    A frost in the hours that are known is told even where others are missing; no frost is told only of a
    whole night, and only from 2.2 °C on: below, leaves may freeze though the air does not.
    """
    night = night_of(hours, zone=ZoneInfo(site.zone), today=today)
    if night.lowest_c is None:
        return _night_not_known(night)
    if night.lowest_c > LEAF_FROST_C and not night.is_whole:
        return _night_not_known(night)
    word = frost_word(night.lowest_c, words=words, wind_ms=night.wind_at_lowest_ms)
    values: dict[str, Scalar] = {
        "lowest_c": round(night.lowest_c, 1),
        "word": word.word,
        "words": words,
        "is_whole": night.is_whole,
    }
    if night.lowest_c > LEAF_FROST_C:
        return Tonight(Rating.NO_FROST, Reason("no_frost_tonight", values, joined(FORECAST, word.source)))
    rule = "frost_near_the_ground" if night.lowest_c > LIGHT_FROST_C else "frost_tonight"
    source = joined(FORECAST, word.source, LEAF_FROST if rule == "frost_near_the_ground" else "")
    return Tonight(Rating.FROST, Reason(rule, values, source))


def cover_tonight(hours: Hours, site: SiteFacts, today: date, *, crop: Crop, young: bool) -> Tonight | None:
    """Say whether a crop wants covering tonight.

    Parameters
    ----------
    hours : Hours
        The forecast.
    site : SiteFacts
        Place and zone.
    today : datetime.date
        Local day.
    crop : Crop
        The crop; its frost class and, for grown plants, its killing temperature are read.
    young : bool
        Whether it showed or was planted within the last ``YOUNG_DAYS``.

    Returns
    -------
    Tonight or None
        None only where the whole night is known and stays above what the crop bears.
    """
    bears_c = bears_down_to_c(crop, young=young)
    if bears_c is None:
        return None
    night = night_of(hours, zone=ZoneInfo(site.zone), today=today)
    if night.lowest_c is None or (night.lowest_c > bears_c and not night.is_whole):
        return _night_not_known(night)
    if night.lowest_c > bears_c:
        return None
    values: dict[str, Scalar] = {
        "lowest_c": round(night.lowest_c, 1),
        "bears_c": bears_c,
        "crop": crop.name_in_text,
        "young": young,
    }
    return Tonight(Rating.COVER, Reason("cover_tonight", values, joined(FORECAST, COVER_CLASSES)))


def bears_down_to_c(crop: Crop, *, young: bool) -> float | None:
    """Return the forecast lowest at or below which a crop is to be covered; None for one that bears it.

    Tender: 2.2 °C, where leaves may freeze. Half-hardy: 0.0 °C young, -2.2 °C grown. Hardy: -2.2 °C young,
    and grown where a killing temperature is published below that. Very hardy ones and what nobody classed
    have none. Potatoes are tender in their leaves.
    """
    fact = crop.get("frost_class")
    frost_class = str(fact.value) if fact else ""
    if frost_class == "tender":
        return LEAF_FROST_C
    if frost_class == "half-hardy":
        return LIGHT_FROST_C if young else HARD_FREEZE_C
    if frost_class != "hardy":
        return None
    if young:
        return HARD_FREEZE_C
    killed_c = crop.number("killed_at_c") if crop.has("killed_at_c") else None
    return killed_c if killed_c is not None and killed_c < HARD_FREEZE_C else None


def lift_tonight(hours: Hours, site: SiteFacts, today: date, *, crop: Crop) -> Tonight | None:
    """Say whether what is ready to be dug should come up, or go under straw, before this night.

    Parameters
    ----------
    hours : Hours
        The forecast.
    site : SiteFacts
        Place and zone.
    today : datetime.date
        Local day.
    crop : Crop
        A crop whose lifting is open.

    Returns
    -------
    Tonight or None
        None for what is not dug, what stays in frozen ground all winter, and a night that stays above
        ``HARD_FREEZE_C`` as far as it is known: ground takes more than one light frost to freeze.
    """
    if crop.get("gather") is None or str(crop.fact("gather").value) != "lift" or _stays(crop):
        return None
    night = night_of(hours, zone=ZoneInfo(site.zone), today=today)
    if night.lowest_c is None or night.lowest_c > HARD_FREEZE_C:
        return None
    values: dict[str, Scalar] = {"lowest_c": round(night.lowest_c, 1), "crop": crop.name_in_text}
    return Tonight(Rating.COVER, Reason("lift_tonight", values, joined(FORECAST, LIFT_BEFORE_FREEZING)))


def _stays(crop: Crop) -> bool:
    fact = crop.get("stands_over_winter")
    return fact is not None and str(fact.value) == "yes"


def _night_not_known(night: Night) -> Tonight:
    lowest_c = None if night.lowest_c is None else round(night.lowest_c, 1)
    return Tonight(Rating.NOT_KNOWN, Reason("night_not_known", {"lowest_known_c": lowest_c}, FORECAST))


def slug_night(hours: Hours, site: SiteFacts, today: date, *, rain_before_mm: float | None) -> Tonight:
    """Rate the coming night for slugs; ``rain_before_mm`` is the rain of the last 24 hours, None unknown."""
    night = night_of(hours, zone=ZoneInfo(site.zone), today=today)
    if night.mean_c is None or night.wind_ms is None or night.rain_mm is None:
        return _night_not_known(night)
    if rain_before_mm is None and night.rain_mm < slugs.WET_MM:
        return _night_not_known(night)
    rain_mm = night.rain_mm + (rain_before_mm or 0.0)
    return _slugs("slug_night", night.mean_c, night.wind_ms, rain_mm, FORECAST)


def slug_night_by_yesterday(
    tmin_c: float | None, tmax_c: float | None, rain_mm: float | None, wind_ms: float | None
) -> Tonight:
    """Rate the night for slugs as if it were like last night, where there is no forecast.

    Nights lie nearer to the day's lowest: their mean is taken a quarter of the way up. Common practice, no
    published source.
    """
    if tmin_c is None or tmax_c is None or rain_mm is None or wind_ms is None:
        return Tonight(Rating.NOT_KNOWN, Reason("night_not_known", {"lowest_known_c": None}, PRACTICE))
    mean_c = tmin_c + (tmax_c - tmin_c) / 4
    return _slugs("slugs_by_yesterday", mean_c, wind_ms, rain_mm, "yesterday's weather at this site")


def _slugs(rule: str, mean_c: float, wind_ms: float, rain_mm: float, told_by: str) -> Tonight:
    rating = Rating(slugs.slug_night(mean_c, wind_ms, rain_mm))
    values: dict[str, Scalar] = {
        "rating": str(rating),
        "mean_c": round(mean_c, 1),
        "wind_ms": round(wind_ms, 1),
        "rain_mm": round(rain_mm, 1),
    }
    return Tonight(rating, Reason(rule, values, joined(told_by, slugs.SOURCE)))
