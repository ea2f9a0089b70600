"""A society's own rules on top of the published ones."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from plots.crops.facts import Basis
from plots.rotation.rest_rules import LONGEST_REST_SEASONS, RestRule

ROOTS = "roots"
FAILED_COUNTS_BECAUSE = (
    "a crop that came to nothing has fed the pests of its family all the same: "
    "common practice, no published source"
)


class CustomFault(ValueError):
    """A rule that a society cannot make; the message names the field and the remedy."""


@dataclass(frozen=True, slots=True)
class RestWish:
    """A rest of the society's own for one family. Shortening it needs a reason."""

    minimum_seasons: int
    recommended_seasons: int
    because: str = ""


@dataclass(frozen=True, slots=True)
class Customs:
    """What a society decided for its ground.

    Parameters
    ----------
    rests : mapping of family to RestWish
        Rests that differ from the published ones.
    root_after_root : int
        Full seasons between any two root crops; 0 leaves that rule off. [season]
    failed_counts : bool
        Whether a crop that failed and was cleared early counts as having stood.
    """

    rests: Mapping[str, RestWish] = field(default_factory=lambda: MappingProxyType({}))
    root_after_root: int = 0
    failed_counts: bool = True

    @property
    def root_rule(self) -> RestRule | None:
        """The rule for root after root, None while it is off."""
        if not self.root_after_root:
            return None
        return RestRule(
            family=ROOTS,
            minimum_seasons=self.root_after_root,
            recommended_seasons=self.root_after_root,
            stated_as=f"{self.root_after_root} seasons between root crops",
            reading="seasons between",
            basis=Basis.PRACTICE,
            source="rule of this society",
            family_name="root crops",
        )


def adapted(rule: RestRule, wish: RestWish | None) -> RestRule:
    """Return a family's rule as the society keeps it.

    Raises
    ------
    CustomFault
        When the recommended rest is under the minimum, a rest is out of range, or a shorter one has no
        reason.
    """
    if wish is None:
        return rule
    least, most = wish.minimum_seasons, wish.recommended_seasons
    if not 0 <= least <= most <= LONGEST_REST_SEASONS:
        raise CustomFault(
            f"{rule.family}: rests run from 0 to {LONGEST_REST_SEASONS} seasons, the minimum not above the "
            "recommended; correct them"
        )
    is_shorter = least < rule.minimum_seasons or most < rule.recommended_seasons
    if is_shorter and not wish.because.strip():
        raise CustomFault(f"{rule.family}: a rest shorter than the published one needs its reason; give it")
    told = f": {wish.because.strip()}" if wish.because.strip() else ""
    return replace(
        rule,
        minimum_seasons=least,
        recommended_seasons=most,
        source=f"rule of this society{told}; published: {rule.stated_as}, {rule.source}",
    )
