"""What a crop asks of warmth and time, each figure with a stated way out where none is published."""

from plots.crops import Crop
from schedules.agronomy.thermal_time import maturity_degree_days
from schedules.planner.sources import GENERAL_BASE, GENERAL_OPTIMUM, PRACTICE
from schedules.planner.types import SowingRequest

GENERAL_BASE_C = 5.0
GENERAL_OPTIMUM_C = 24.0
REFERENCE_C = 16.5
ORDINARY_C = 15.0
HEAT_BORNE_C = 3.0
AS_IT_WARMS, AFTER_MIDSUMMER, AS_IT_COOLS = "as it warms", "after midsummer", "as it cools"
# Warmest first choice: what the plant wants set out, then its seed, then the least its seed takes.
_SOIL_FACTS = ("plant_out_soil_c", "practical_sow_soil_c", "min_soil_c")


def base_c(crop: Crop) -> float:
    """Return the temperature at which growth stops, or the general one for a crop that has none."""
    return crop.number("base_c") if crop.has("base_c") else GENERAL_BASE_C


def base_source(crop: Crop) -> str:
    return crop.fact("base_c").source if crop.has("base_c") else GENERAL_BASE


def optimum_c(crop: Crop) -> float:
    """Return the temperature past which growth comes no faster."""
    return crop.number("optimum_c") if crop.has("optimum_c") else GENERAL_OPTIMUM_C


def optimum_source(crop: Crop) -> str:
    return crop.fact("optimum_c").source if crop.has("optimum_c") else GENERAL_OPTIMUM


def reference_c(crop: Crop) -> float:
    """Return the mean temperature at which the crop's published days are taken to hold.

    The days are mostly printed for summers of the United States; in cool maritime ones long-season roots take
    about a third more. From April to October, the life of such a root, those have some 13.5 °C (open records
    of Brussels, Wageningen and eastern England: tests/outside/test_reference_warmth.py), so that with a base
    of 4.5 °C the printed days hold near 4.5 + 4/3 (13.5 - 4.5) = 16.5 °C. A crop that grows no faster past a
    lower optimum has them there.
    """
    stated = crop.number("reference_c") if crop.has("reference_c") else REFERENCE_C
    return min(stated, optimum_c(crop))


def degree_days_of(crop: Crop, days: float) -> float:
    """Return the heat sum of so many published days."""
    return maturity_degree_days(days, base_c(crop), reference_c(crop))


def growth_degree_days(request: SowingRequest, days: float) -> float:
    """Return the heat sum of so many published days, stretched by what liftings at the site have shown."""
    return degree_days_of(request.crop, days) * request.growth_factor


def grown_cd(request: SowingRequest, days: float) -> float:
    """Return the heat sum that is left of so many published days once the crop is in the ground."""
    return growth_degree_days(request, max(1.0, days - raised_days(request.crop)))


def ordinary_degree_days(crop: Crop, days: float) -> float:
    """Return the heat sum of so many days of ordinary warmth, as stages of tending are counted.

    Those days are our own practice and no packet's: they hold in the 15 °C of a cool summer, or at the
    temperature that a crop of warm places states for itself.
    """
    warmth_c = max(ORDINARY_C, reference_c(crop)) if crop.has("reference_c") else ORDINARY_C
    return maturity_degree_days(days, base_c(crop), min(warmth_c, optimum_c(crop)))


def threshold_c(crop: Crop) -> float:
    """Return the soil temperature to wait for, or for growth at all where no figure is published."""
    fact = _soil_fact(crop)
    return crop.number(fact) if fact else base_c(crop)


def threshold_source(crop: Crop) -> str:
    fact = _soil_fact(crop)
    return crop.fact(fact).source if fact else base_source(crop)


def stands_young(crop: Crop) -> bool:
    """True where the young crop, sown or planted in autumn, stands the winter and grows on in spring."""
    return crop.has("overwinters_young") and crop.fact("overwinters_young").value is True


def autumn_soil_c(crop: Crop) -> float:
    """Return the soil temperature to cool to before an autumn sowing."""
    return crop.number("autumn_soil_c") if crop.has("autumn_soil_c") else threshold_c(crop)


def hottest_soil_c(crop: Crop) -> float | None:
    """Return the warmest soil in which seed comes up; None for what is planted, and where nobody tried."""
    is_sown = crop.grown_from == "seed" and crop.has("max_soil_c")
    return crop.number("max_soil_c") if is_sown else None


def hottest_month_c(crop: Crop) -> float | None:
    """Return the mean of the hottest month in which a crop does well; None where nobody says it."""
    return crop.number("hottest_month_c") if crop.has("hottest_month_c") else None


def hottest_air_c(crop: Crop) -> float:
    """Return the mean air of a month in which a young crop still grows well.

    A little over the warm end of its optimum: between there and the warmest air it lives in, some ten degrees
    on, it bolts, drops its flowers or stands still (common practice, no published source). What is sown in
    the open bears its hottest month where that is known, and no more; a young plant a little more.
    """
    hottest = hottest_month_c(crop)
    if hottest is None:
        return optimum_c(crop) + HEAT_BORNE_C
    borne_c = min(optimum_c(crop), hottest) + HEAT_BORNE_C
    return hottest if crop.grown_from == "seed" else max(hottest, borne_c)


def waits_for_frost(crop: Crop) -> bool:
    """True where the crop must not be in the open before the last frost of spring."""
    return crop.has("waits_for_frost") and crop.fact("waits_for_frost").value is True


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
