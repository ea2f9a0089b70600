"""What a crop asks of warmth and time, each figure with a stated way out where none is published."""

from plots.crops import Crop
from schedules.agronomy.thermal_time import maturity_degree_days
from schedules.planner.sources import GENERAL_BASE, PRACTICE

GENERAL_BASE_C = 5.0
REFERENCE_C = 15.0
AS_IT_WARMS, AFTER_MIDSUMMER, AS_IT_COOLS = "as it warms", "after midsummer", "as it cools"
# Warmest first choice: what the plant wants set out, then its seed, then the least its seed takes.
_SOIL_FACTS = ("plant_out_soil_c", "practical_sow_soil_c", "min_soil_c")


def base_c(crop: Crop) -> float:
    """Return the temperature at which growth stops, or the general one for a crop that has none."""
    return crop.number("base_c") if crop.has("base_c") else GENERAL_BASE_C


def base_source(crop: Crop) -> str:
    return crop.fact("base_c").source if crop.has("base_c") else GENERAL_BASE


def reference_c(crop: Crop) -> float:
    """Return the mean temperature at which the crop's published days are taken to hold."""
    return crop.number("reference_c") if crop.has("reference_c") else REFERENCE_C


def degree_days_of(crop: Crop, days: float) -> float:
    """Return the heat sum of so many published days."""
    return maturity_degree_days(days, base_c(crop), reference_c(crop))


def threshold_c(crop: Crop) -> float:
    """Return the soil temperature to wait for, or for growth at all where no figure is published."""
    fact = _soil_fact(crop)
    return crop.number(fact) if fact else base_c(crop)


def threshold_source(crop: Crop) -> str:
    fact = _soil_fact(crop)
    return crop.fact(fact).source if fact else base_source(crop)


def _soil_fact(crop: Crop) -> str | None:
    return next((each for each in _SOIL_FACTS if crop.has(each)), None)


def opens(crop: Crop) -> str:
    """Return what the crop waits for: warming soil, midsummer to be past, or cooling soil."""
    return _word(crop, "opens") or AS_IT_WARMS


def counts_by_calendar(crop: Crop) -> bool:
    """True where published days run through the winter, so that warmth does not measure them."""
    return _word(crop, "days_counted") == "calendar"


def raised_days(crop: Crop) -> float:
    """Return the days that a plant has lived under cover when its published days count from sowing."""
    from_sowing = _word(crop, "maturity_from") == "sowing"
    return crop.number("raising_days") if from_sowing and crop.has("raising_days") else 0.0


def establish_days(crop: Crop) -> float | None:
    """Return the days of warmth it must have before growth stops to stand through the winter."""
    return crop.number("establish_days") if crop.has("establish_days") else None


def maturity_source(crop: Crop) -> str:
    return crop.fact("days_to_maturity_min").source if crop.has("days_to_maturity_min") else PRACTICE


def _word(crop: Crop, name: str) -> str:
    fact = crop.get(name)
    return str(fact.value) if fact else ""
