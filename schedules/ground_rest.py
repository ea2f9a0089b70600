"""How long ground still rests, worked out from the record for any outline and any season."""

from collections.abc import Sequence
from dataclasses import dataclass

from plots.crops import crop as crop_of
from plots.models import Site, Sowing
from plots.outlines import Corners
from plots.rotation import GroundUse, Wanted, judge, rest_rules
from plots.selectors import season_name
from schedules.hatches import mark_of
from society.templatetags.words import in_words

# Long enough before any rest period: the numbers drawn come from what is on record, not from gaps in it.
WHOLE_RECORD_SEASONS = 100
NAMED_FAMILIES = 2
LEVEL_WORDS = {
    "sound": "rested",
    "no record": "no record",
    "possible": "perhaps not rested",
    "short": "short of the rest advised",
    "broken": "under the least rest",
}


@dataclass(frozen=True, slots=True)
class Rest:
    """Ground that still rests from a family when a season begins."""

    family: str
    mark: str
    family_name: str
    seasons: int
    free_from: str


def rests_of(outline: Corners, site: Site, past: Sequence[GroundUse], season: int) -> list[Rest]:
    """The families that some of this ground still rests from as the season begins, longest first."""
    rests = []
    for family in sorted({use.family for use in past}):
        wanted = Wanted("ground", outline, "", "", family, season)
        verdict = judge(wanted, past, record_since=season - WHOLE_RECORD_SEASONS)
        left = (verdict.free_from_season or season) - season
        if left > 0:
            free = season_name(site, season + left)
            rests.append(Rest(family, mark_of(family), family_name(family), left, free))
    return sorted(rests, key=lambda rest: (-rest.seasons, rest.family))


def use_of(row: Sowing, present: int) -> GroundUse:
    """A plan of a season gone by that nobody confirmed is only a possible use, as in the verdicts."""
    crop = crop_of(row.crop)
    unconfirmed = row.state == Sowing.State.PLANNED and row.last_season < present
    return GroundUse(
        str(row.key), row.patch.outline, crop.key, crop.name, crop.family,
        row.season, row.last_season, coarse=row.patch.is_coarse or unconfirmed,
    )  # fmt: skip


# Families without a published rest have no row among the rest rules to carry their plain name.
FAMILIES_WITHOUT_A_REST = {
    "Asparagaceae": "asparagus family",
    "Caprifoliaceae": "valerian family",
    "Poaceae": "grass family",
    "Polygonaceae": "dock family",
    "Rosaceae": "rose family",
}


def family_name(family: str) -> str:
    """'carrot family'; the botanical name where no plain one is on file."""
    rule = rest_rules().get(family)
    return rule.family_name if rule and rule.family_name else FAMILIES_WITHOUT_A_REST.get(family, family)


def families_words(rests: Sequence[Rest]) -> str:
    """'the cabbage family and the beet family'; of many the number, and the one that rests longest."""
    names = [f"the {rest.family_name}" for rest in rests]
    if len(names) > NAMED_FAMILIES:
        return f"{in_words(len(names))} families, longest from {names[0]}"
    return " and ".join(names)
