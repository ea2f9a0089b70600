"""What the rule answers: a level, the ground behind it, and the values and source that explain it."""

from dataclasses import dataclass
from enum import StrEnum

JSON = str | int | float | bool | None | list[str] | list[int] | list[float]


class Level(StrEnum):
    """How the wanted ground stands, from nothing against it to under the minimum rest."""

    SOUND = "sound"
    NO_RECORD = "no record"
    POSSIBLE = "possible"
    SHORT = "short"
    BROKEN = "broken"

    @property
    def severity(self) -> int:
        """Rank from 0, nothing against it, to 4, under the minimum."""
        return tuple(Level).index(self)


@dataclass(frozen=True, slots=True)
class Overlap:
    """One earlier patch of the same family that lies within the rest period and on the wanted ground."""

    key: str
    crop_key: str
    crop_name: str
    first_season: int
    last_season: int
    seasons_between: int
    area_m2: float
    share: float
    coarse: bool


@dataclass(frozen=True, slots=True)
class Verdict:
    """The answer for one wanted patch.

    ``area_m2`` and ``share`` are the part of the patch that gives the level; ``free_from_season`` is the
    first season in which, with nothing more of the family grown, the ground would be sound. ``also`` are the
    verdicts of other rules that have something against the sowing; this one is the worst.
    """

    level: Level
    rule: str
    values: dict[str, JSON]
    source: str
    area_m2: float
    share: float
    free_from_season: int | None
    overlaps: tuple[Overlap, ...]
    also: tuple["Verdict", ...] = ()
