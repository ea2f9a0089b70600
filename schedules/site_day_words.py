"""What the house knows of a site, as a letter says it: soil, rain, frost."""

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from typing import Any

from schedules.planner.sentences.wording import Units
from schedules.reading_words import value_words

# Past this warmth, a week without a frost on record is no news.
WARM_SOIL_C = 12.0
FRESH_DAYS = 2


def site_day_words(values: Mapping[str, Any], *, today: date, units: Units) -> tuple[str, ...]:
    """Each thing that is known, in a sentence; nothing where nothing is."""
    return (*_soil(values, units), *_rain(values, today, units), *_frost(values))


def leans_on_forecast(values: Mapping[str, Any]) -> bool:
    return bool(values.get("forecast_until"))


def _soil(values: Mapping[str, Any], units: Units) -> Iterator[str]:
    if "soil_c" not in values:
        yield "Nothing is known of the weather there yet; jobs get their dates once some is."
        return
    how = (
        "set right by members’ thermometers"
        if values["is_corrected"]
        else "not yet set right by a thermometer"
    )
    warmth = value_words("soil_c", values["soil_c"], units)
    yield f"The soil at sowing depth is at about {warmth}, estimated from the air and {how}."


def _rain(values: Mapping[str, Any], today: date, units: Units) -> Iterator[str]:
    if "rain_until" not in values:
        return
    until = date.fromisoformat(values["rain_until"])
    is_old = (today - until).days > FRESH_DAYS
    ends = f" The record of rain ends {_on(until, today)}." if is_old else ""
    if "rain_on" in values:
        fell = value_words("rain_mm", values["rain_mm"], units)
        when = _on(date.fromisoformat(values["rain_on"]), today)
        yield f"The last rain worth a gauge fell {when}: {fell}.{ends}"
        return
    days = (until - date.fromisoformat(values["rain_since"])).days + 1
    run = "on the last day" if days == 1 else f"in the last {days} days"
    yield f"No rain worth a gauge fell {run} on record.{ends}"


def _frost(values: Mapping[str, Any]) -> Iterator[str]:
    """By the forecast as far as it reaches, by past years or monthly means beyond it."""
    members, frosty = values.get("frost_members", 0), values.get("frosty", 0)
    if not members or (not frosty and values.get("soil_c", 0.0) >= WARM_SOIL_C):
        return
    foreseen = values.get("forecast_until")
    if foreseen and frosty in {0, members}:
        yield f"The forecast for the coming week has {'a frost' if frosty else 'no frost'} in it."
        return
    beyond = "Beyond the forecast, frost" if foreseen else "Frost"
    if values["frost_basis"] == "years":
        if frosty:
            yield f"{beyond} came in this week in {frosty} of {_years(members)}."
        else:
            yield f"No frost came in this week in {_years(members)}."
        return
    tenths = round(10 * frosty / members)
    odds = {0: "less than one in twenty", 10: "nearly certain"}.get(tenths, f"about {tenths} in 10")
    yield f"The odds of a frost in the coming week, reckoned from monthly means: {odds}."


def _years(count: int) -> str:
    return "the one past year on record" if count == 1 else f"{count} past years"


def _on(day: date, today: date) -> str:
    if day == today - timedelta(days=1):
        return "yesterday"
    return f"on {day:%A}" if 0 < (today - day).days < 7 else f"on {day.day} {day:%B}"
