"""The usual cautions where the work can hurt somebody. They defer to local rules and licensed practice."""

from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Caution:
    text: str
    source: str


CAUTIONS = MappingProxyType(
    {
        "sap": Caution(
            "Sap on skin in sunlight may burn and blister days later: wear gloves and sleeves, choose a dull "
            "day, wash splashes off at once and keep the skin out of the sun.",
            "Walling & Walling 2018, Dermatology Online Journal 24(2), as cited by a public medical page",
        ),
        "netting": Caution(
            "Keep mesh taut and its edges down, leave no loose rolls, and look along it daily: hedgehogs and "
            "grass snakes may die in slack net. Your society's own netting rules come first.",
            "RSPCA and Amphibian and Reptile Conservation advice on netting, second-hand",
        ),
        "lifting": Caution(
            "Lift boxes with bent knees and close to you, half full rather than twisting; two people for a "
            "heavy one.",
            "HSE guidance on manual handling (L23, INDG143), second-hand; guideline, not a legal limit",
        ),
        "hands": Caution(
            "Cover cuts and wear gloves in soil; a deep or dirty cut, or doubt about tetanus jabs, is for a "
            "doctor or your local health line.",
            "NHS practice page and hospital leaflet on tetanus",
        ),
        "knife": Caution(
            "Twist the tops off by hand; with a knife, cut away from you on a firm board.",
            "common practice, no published source",
        ),
        "green-potatoes": Caution(
            "Store potatoes in the dark. Do not eat green, bitter or strongly sprouted ones; tops and "
            "berries are never food.",
            "EFSA CONTAM Panel 2020, EFSA Journal (abstract); tops and berries from memory",
        ),
        "water-butts": Caution(
            "Use a can rather than a spray from a sun-warmed butt, and keep butts shaded, covered and clean: "
            "standing warm water may carry legionella.",
            "council and horticultural society advice on water butts, second-hand",
        ),
        "slug-pellets": Caution(
            "Use only products authorised where you are, as the label says; metaldehyde pellets are not "
            "legal in Great Britain. Ask whoever is licensed to advise if unsure.",
            "Veterinary Poisons Information Service 2022; HSE, garden home pages",
        ),
    }
)


def caution_texts(codes: list[str] | tuple[str, ...]) -> tuple[str, ...]:
    """Sentences for the codes that a job carries, in their order."""
    return tuple(CAUTIONS[code].text for code in codes)
