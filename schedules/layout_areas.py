"""Amounts as growers write them, an area or a length of row, and square metres as they are kept."""

from plots.crops import Crop
from plots.measures import METRES_PER_FOOT
from schedules.planner.sentences import Units

MM_PER_M = 1000
AREA, ROWS = "area", "rows"
UNIT_WORDS = {
    "metric": {AREA: "m²", ROWS: "m of row"},
    "imperial": {AREA: "sq ft", ROWS: "ft of row"},
}


def area_of(amount: float, *, crop: Crop, in_rows: bool, units: Units) -> float:
    """Square metres of an amount; a length of row takes the spacing between the crop's rows. [m²]"""
    metres = METRES_PER_FOOT if units == "imperial" else 1.0
    return amount * metres * row_width_m(crop) if in_rows else amount * metres**2


def amount_of(area_m2: float, *, crop: Crop, in_rows: bool, units: Units) -> str:
    """The other way round, as it is written on the form: at most two decimals."""
    metres = METRES_PER_FOOT if units == "imperial" else 1.0
    amount = area_m2 / (metres * row_width_m(crop)) if in_rows else area_m2 / metres**2
    return plain(amount)


def row_width_m(crop: Crop) -> float:
    return crop.number("row_spacing_mm") / MM_PER_M


def area_text(area_m2: float, units: Units) -> str:
    """'4.5 m²', or '48 sq ft'."""
    if units == "imperial":
        return f"{plain(round(area_m2 / METRES_PER_FOOT**2, 1))} sq ft"
    return f"{plain(round(area_m2, 1 if area_m2 >= 1 else 2))} m²"


def plain(number: float) -> str:
    """At most two decimals, and none that say nothing."""
    return f"{number:.2f}".rstrip("0").rstrip(".")
