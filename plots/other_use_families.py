"""The botanical families that other uses may be of, with their plain names."""

from collections.abc import Mapping
from functools import cache

from plots.crops import crops
from plots.rotation import green_manures, rest_rules

# Families without a published rest have no row among the rest rules to carry their plain name.
NAMES_WITHOUT_A_REST = {
    "Asparagaceae": "asparagus family",
    "Boraginaceae": "borage family",
    "Caprifoliaceae": "valerian family",
    "Linaceae": "flax family",
    "Poaceae": "grass family",
    "Polygonaceae": "dock family",
    "Rosaceae": "rose family",
}


@cache
def families_offered() -> Mapping[str, str]:
    """Every family of the crops and of the green manures, by botanical name, with its plain name."""
    known = {crop.family for crop in crops()} | {each.family for each in green_manures().values()}
    return {family: plain_family_name(family) for family in sorted(known | set(rest_rules()))}


def plain_family_name(family: str) -> str:
    """'carrot family'; the botanical name where no plain one is on file."""
    rule = rest_rules().get(family)
    return rule.family_name if rule and rule.family_name else NAMES_WITHOUT_A_REST.get(family, family)
