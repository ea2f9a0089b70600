"""A job in one line: the verb first, then what."""

from collections.abc import Mapping
from typing import Any

from plots.crops import Crop
from schedules.planner.sentences.wording import inch_words

TITLES = {
    "raise": "Start {crop} under cover",
    "warm": "Warm the ground for {crop}",
    "sow": "Sow {crop}",
    "cover": "Cover {crop}",
    "showing": "See whether the rows of {crop} are up",
    "weed": "Weed {crop}",
    "thin": "Thin {crop}",
    "earth_up": "Earth up {crop}",
    "water": "Water {crop}",
    "uncover": "Uncover {crop}",
    "necks": "Check the necks of {crop}",
    "lift": "{gather} {crop}",
    "store": "Store {crop}",
    "store_check": "Look over {crop} in store",
    "resow": "Sow the next short row of {crop}",
}
PLANTED = "Plant {crop}"
BOUGHT = "Find young plants of {crop}"


def job_title(kind: str, crop: Crop, values: Mapping[str, Any], *, units: str) -> str:
    """'Thin carrot (early) to 25 mm', 'Plant potato (first early)', 'Pick French beans'."""
    form = PLANTED if kind == "sow" and crop.grown_from != "seed" else TITLES[kind]
    # A finished job keeps the values it had, which may be of an older shape: its line is said without them.
    values = values if isinstance(values, Mapping) else {}
    if kind == "raise" and values.get("is_past"):
        form = BOUGHT
    gather = crop.get("gather")
    line = form.format(crop=crop.name_in_text, gather=str(gather.value if gather else "lift").capitalize())
    spacing_mm = values.get("spacing_mm")
    if kind == "thin" and isinstance(spacing_mm, int | float) and spacing_mm > 0:
        return f"{line} to {short_length(float(spacing_mm), units=units)}"
    return line


def short_length(length_mm: float, *, units: str) -> str:
    """A spacing as a grower measures it: whole millimetres, or inches to a quarter."""
    if units != "imperial":
        return f"{length_mm:.0f} mm"
    return inch_words(length_mm)
