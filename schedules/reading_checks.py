"""What cannot have been read, and what is so unlikely that it is asked about once. Nothing here writes."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from django.core.exceptions import ValidationError

from plots.changes import Faults
from plots.models import Site
from schedules.agronomy.climate import ClimateFault, DailyWeather, far_from_past
from schedules.agronomy.climate.quality import POSSIBLE
from schedules.learning_selectors import SiteHistory
from schedules.models import WeatherDay
from schedules.planner.sentences.wording import Units
from schedules.reading_selectors import OF_THE_AIR, day_counted, readings_standing
from schedules.reading_words import value_words

FARTHEST_BACK = timedelta(days=366)
DEPTHS_MM = (10, 1000)
# Colder or hotter ground than this at a hand's depth is a slip of the pen: common practice, no published
# source.
SOIL_LIMITS_C = (-30.0, 50.0)
# How far from the usual of the season a value lies before it is asked about again: common practice, no
# published source.
FAR_OUT_C = 15.0
FAR_OUT_SOIL_C = 10.0
FAR_OUT_RAIN_MM = 75.0


class AskAgain(ValidationError):
    """Nothing is impossible, but something lies far outside what the site usually has; ask once."""


@dataclass(frozen=True, slots=True)
class ReadingWish:
    """What was read of one day. ``values`` by quantity, metric; a soil reading needs its depth."""

    day: date
    values: Mapping[str, float]
    depth_mm: int | None = None
    hour: int | None = None


def refuse_impossible(site: Site, wish: ReadingWish, *, today: date, units: Units) -> None:
    """Raise ValidationError with everything that cannot be, by field."""
    faults = Faults()
    if wish.day > today:
        faults.add("day", f"this day has not come yet at {site.name}; give today or a day before")
    elif wish.day < today - FARTHEST_BACK:
        faults.add("day", "this is more than a year ago; what is older comes in as a weather file")
    if not wish.values:
        faults.add("tmin_c", "nothing was read yet; fill in at least one of the instruments")
    for quantity, value in wish.values.items():
        low, high = SOIL_LIMITS_C if quantity == "soil_c" else POSSIBLE[quantity]
        if not low <= value <= high:  # NaN is outside as well
            span = f"{value_words(quantity, low, units)} to {value_words(quantity, high, units)}"
            faults.add(quantity, f"this lies outside {span}; look for a slip of the pen")
    if "soil_c" in wish.values and wish.depth_mm is None:
        faults.add("depth_mm", "say how deep the thermometer stood")
    elif wish.depth_mm is not None and not DEPTHS_MM[0] <= wish.depth_mm <= DEPTHS_MM[1]:
        faults.add("depth_mm", "between 1 and 100 cm (half an inch to 40 in); correct the depth")
    if wish.hour is not None and not 0 <= wish.hour <= 23:
        faults.add("hour", "an hour from 0 to 23; correct it, or leave it out")
    _refuse_crossed(site, wish, faults, units)
    faults.refuse()


def _refuse_crossed(site: Site, wish: ReadingWish, faults: Faults, units: Units) -> None:
    """A minimum above the day's maximum, be it in the same breath or beside what the day counts already."""
    counted = day_values(site, wish.day)
    low, high = (wish.values.get(name, counted[name]) for name in ("tmin_c", "tmax_c"))
    if low is None or high is None or low <= high or faults.fields & {"tmin_c", "tmax_c"}:
        return
    said = [name for name in ("tmin_c", "tmax_c") if name in wish.values]
    if not said:
        return
    if len(said) == 2:
        faults.add("tmin_c", "this is above the highest of the day; look whether the two are swapped")
        return
    other = "tmax_c" if said[0] == "tmin_c" else "tmin_c"
    word = "highest" if other == "tmax_c" else "lowest"
    stands = value_words(other, high if other == "tmax_c" else low, units)
    side = "above" if other == "tmax_c" else "below"
    faults.add(said[0], f"this is {side} the {word} that this day counts so far, {stands}; check both")


def day_values(site: Site, day: date) -> dict[str, float | None]:
    """What a day counts at present, from file and readings."""
    stored = WeatherDay.objects.filter(site=site, day=day, kind=WeatherDay.Kind.OBSERVED)
    row = stored.values(*OF_THE_AIR).first() or {}
    return day_counted(row, list(readings_standing(site).filter(day=day))).values


def ask_about_unlikely(site: Site, wish: ReadingWish, *, today: date, units: Units) -> None:
    """Compare with what the season usually brings the site; where nothing is known, nothing is asked."""
    faults = Faults()
    history = SiteHistory(site, min(wish.day, today))
    usual = _usual_of(history, wish.day)
    suspects = _suspects(history, wish)
    for quantity, value in wish.values.items():
        expected, allowed = usual.get(quantity, (value, 0.0))
        if abs(value - expected) <= allowed and quantity not in suspects:
            continue
        said = value_words(quantity, value, units)
        if quantity == "rain_mm":
            sentence = f"{said} in one day is much"
        else:
            sentence = f"{said} lies far from the {value_words(quantity, expected, units)} usual then"
        faults.add(quantity, f"{sentence}; look again, and send it once more if it is so")
    if faults.fields:
        try:
            faults.refuse()
        except ValidationError as fault:
            raise AskAgain(fault.message_dict) from None


def _usual_of(history: SiteHistory, day: date) -> dict[str, tuple[float, float]]:
    """By quantity, what is usual on a day and how far from it is still not far; of what is known."""
    usual = {"rain_mm": (0.0, FAR_OUT_RAIN_MM)}
    try:
        weather = history.weather(first=day, days=1)
    except ClimateFault:
        return usual
    usual["tmin_c"] = (float(weather.tmin_c.mean()), FAR_OUT_C)
    usual["tmax_c"] = (float(weather.tmax_c.mean()), FAR_OUT_C)
    estimate_c = history.soil_estimate_c()
    if estimate_c is not None:
        usual["soil_c"] = (estimate_c, FAR_OUT_SOIL_C)
    return usual


def _suspects(history: SiteHistory, wish: ReadingWish) -> set[str]:
    """The quantities that a weather file would have set aside, judged by the site's own past."""
    if history.observed is None:
        return set()
    values = {name: np.array([wish.values.get(name, np.nan)]) for name in OF_THE_AIR}
    one = DailyWeather(first=wish.day, wind_ms=np.array([np.nan]), **values)
    return {
        suspect.quantity for suspect in far_from_past(one, history=history.observed, usual=history.normals)
    }
