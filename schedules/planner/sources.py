"""Printable sources of the planner's own rules. Crop and climate figures bring theirs with them."""

from functools import cache

from schedules.agronomy.seedbed_water import WORKABLE_SOURCE

PRACTICE = "common practice, no published source"

SOIL_ESTIMATE = (
    "soil estimated from air temperature: Zheng, Hunt and Running, Climate Research 2, 1993, 183-191 "
    "(abstract), without the regional fit"
)
THREE_DAYS = f"three-day rule: {PRACTICE}"
DRY_ENOUGH = f"dryness of the seed-bed: FAO Irrigation and Drainage Paper 56, chapter 7; {WORKABLE_SOURCE}"
FROST_WAIT = f"last frost of the site's own weather; nine springs in ten, tubers the middle one: {PRACTICE}"
HEAT_WAIT = f"a month's mean 3 °C over the crop's optimum taken as too hot to start it: {PRACTICE}"
FULL_COVER = "flowering taken to begin at full cover: FAO Irrigation and Drainage Paper 56, 1998, chapter 6"
SHORT_DAYS = f"growth counted as ended under 10 hours of daylight, a fortnight in hand: {PRACTICE}"
FLY_HEIGHT = (
    "sticky-board catches at several heights, Bulletin of Entomological Research (abstract): 0.84 % less "
    "for each "
    "cm above 10 cm; the 60 cm belief: " + PRACTICE
)
THINNING_HOUR = (
    f"{PRACTICE}; evidence conflicting: a Swiss advisory page has flies enter from about 17:00 to dusk"
)
COLD_SWEETENS = (
    "Iowa State University Extension 2017; Suojala, Scientia Horticulturae 85, 2000, 1-19 (abstract): cold "
    "sweetens, freezing spoils"
)
LEFT_IN_GROUND = (
    "Michigan State University Extension (quoted): lift before the ground freezes; slugs: " + PRACTICE
)
STORE_ROOTS = "USDA, Canning, freezing, storing garden produce, 1977; " + PRACTICE
STORE_COOL = "USDA, Canning, freezing, storing garden produce, 1977: store late, as it grows cool"
STORE_POTATOES = "EFSA CONTAM Panel 2020, EFSA Journal (abstract), on green potatoes"
GENERAL_BASE = f"no base temperature is published for this crop, so 5 °C stands in: {PRACTICE}"
GENERAL_OPTIMUM = f"no optimum is published for this crop, so 24 °C stands in: {PRACTICE}"
PRINTED_DAYS = (
    "printed days taken to hold near 16.5 °C, where a cool maritime season takes a third more of them: "
    + PRACTICE
)
NO_FIGURE = "no published figure was found"
OWN_RECORD = "the weather given for this site"


@cache
def joined(*sources: str) -> str:
    """Return the sources as one line, each once, in order."""
    return "; ".join(dict.fromkeys(source for source in sources if source))
