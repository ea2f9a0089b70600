"""Where work can hurt someone: which caution goes with which job, and what it says."""

from functools import cache

from plots.crops import Crop
from schedules.planner.types import Kind

_JOBS = {
    "sap": {Kind.THIN, Kind.LIFT},
    "netting": {Kind.COVER},
    "lifting": {Kind.LIFT, Kind.STORE},
    "green-potatoes": {Kind.LIFT, Kind.STORE, Kind.STORE_CHECK},
    "knife": {Kind.LIFT, Kind.STORE},
    "leaf-blades": {Kind.SOW, Kind.LIFT},
    "raw-beans": {Kind.LIFT},
}
# What belongs to a kind of work whatever the crop.
_ALWAYS: dict[Kind, tuple[str, ...]] = {Kind.WATER: ("water-butts",)}

_WORDS = {
    "sap": (
        "Wear gloves and long sleeves and choose a dull day: the sap may burn skin that meets sunlight. "
        "Wash it off at once and keep the skin out of the sun; ask a pharmacist or doctor about blisters.",
        "Walling and Walling, Dermatology Online Journal 24(2), 2018 (as cited)",
    ),
    "netting": (
        "Keep netting taut, with no loose rolls on the ground, and look at it daily: hedgehogs, snakes and "
        "birds may be caught in slack mesh. Follow local wildlife rules.",
        "Royal Society for the Prevention of Cruelty to Animals advice (second-hand)",
    ),
    "lifting": (
        "Lift with bent knees and a straight back, in loads you can carry close in; make two journeys of "
        "one heavy one.",
        "Health and Safety Executive, INDG143 (as reprinted)",
    ),
    "green-potatoes": (
        "Keep tubers dark, and do not eat green, bitter or strongly sprouted ones; children are most at "
        "risk.",
        "EFSA CONTAM Panel 2020, EFSA Journal (abstract)",
    ),
    "knife": (
        "Cut away from your hand, when trimming tops too, and put the knife down closed.",
        "common practice, no published source",
    ),
    "leaf-blades": (
        "Eat the stalks only: the leaf blades are poisonous. Throw limp stalks away after a hard freeze.",
        "University of Illinois Extension, 2014 (second-hand)",
    ),
    "raw-beans": (
        "Cook the pods before eating, and boil ripe beans hard: raw or half-cooked ones may make people ill.",
        "from memory: US Food and Drug Administration, Bad Bug Book, lectins of kidney beans",
    ),
    "water-butts": (
        "Give water from a butt with a can, not as spray: warm standing water may carry legionella, which "
        "harms when breathed in. Keep butts shaded and covered, clean them once a year and drain hoses after "
        "use. Follow what your society and your water company allow.",
        "South Tyneside Homes advice; Royal Horticultural Society advice (second-hand)",
    ),
}


def cautions_for(crop: Crop, kind: Kind) -> tuple[str, ...]:
    """Return the codes of the crop's cautions that this job calls for."""
    fact = crop.get("cautions")
    return _called_for(str(fact.value) if fact and fact.value else "", kind)


@cache
def _called_for(codes: str, kind: Kind) -> tuple[str, ...]:
    called = (code for code in codes.split(";") if kind in _JOBS.get(code, set()))
    return (*called, *_ALWAYS.get(kind, ()))


def caution_text(code: str) -> str:
    """Return what a caution says; KeyError for an unknown code."""
    return _WORDS[code][0]


def caution_source(code: str) -> str:
    return _WORDS[code][1]
