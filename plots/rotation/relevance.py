"""Which earlier uses can matter to which wanted sowings, told before any geometry.

Columns of numbers for many at once. What is left out here would never have changed a verdict.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import shapely

from plots.rotation.customs import Customs, adapted
from plots.rotation.problems import Problem, Sighting, problems
from plots.rotation.rest_rules import RestRule

Numbers = npt.NDArray[np.int64]
Flags = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Crops:
    """Columns of what is asked for, or of what was there, one row each.

    ``boxes`` is (rows, 4): west, south, east, north. [m] ``first`` and ``last`` are seasons; of a wanted
    sowing both are the wanted one.
    """

    boxes: npt.NDArray[np.float64]
    families: Sequence[str]
    crop_keys: Sequence[str]
    first: Numbers
    last: Numbers
    is_root: Flags

    def __len__(self) -> int:
        return len(self.families)


@dataclass(frozen=True, slots=True)
class Claims:
    """The rules that hold on some ground: rests by family, the one of roots, and problems seen there."""

    rests: Mapping[str, RestRule]
    root_rest: int
    seen: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Reach:
    """How many seasons back a record can matter, by kind of crop; what it does not name never matters.

    ``kinds`` names families and crop keys alike. [season]
    """

    kinds: Mapping[str, int]
    roots: int

    def of(self, crop_key: str, family: str, *, is_root: bool) -> int:
        """Seasons before the wanted one in which such a crop counts; 0 where it never does."""
        by_kind = max(self.kinds.get(crop_key, 0), self.kinds.get(family, 0))
        return max(by_kind, self.roots) if is_root else by_kind


def claims_of(rules: Mapping[str, RestRule], sightings: Iterable[Sighting], customs: Customs) -> Claims:
    """Return the rules of a society on ground where these problems were seen."""
    keys = sorted({sighting.problem for sighting in sightings})
    return Claims(
        rests={family: adapted(rule, customs.rests.get(family)) for family, rule in rules.items()},
        root_rest=customs.root_after_root,
        seen=tuple(problems()[key] for key in keys),
    )


def reach_of(claims: Claims, wanted: Crops | None) -> Reach:
    """Return how far back anything matters to the wanted crops, or to any crop at all where that is None."""
    kinds = None if wanted is None else set(zip(wanted.crop_keys, wanted.families, strict=True))
    families = None if wanted is None else set(wanted.families)
    longest = {
        family: rule.recommended_seasons
        for family, rule in claims.rests.items()
        if families is None or family in families
    }
    for problem in claims.seen:
        if kinds is None or any(problem.lives_on(*kind) for kind in kinds):
            for host in problem.hosts:
                longest[host] = max(longest.get(host, 0), problem.rest.recommended_seasons)
    roots = claims.root_rest if wanted is None or wanted.is_root.any() else 0
    return Reach(longest, roots)


def pairs_that_matter(wanted: Crops, past: Crops, claims: Claims) -> tuple[Numbers, Numbers]:
    """Return the rows of wanted and past that may matter to each other, by wanted row and then past row.

    Notes
    -----
    Boxes that meet are a superset of outlines that meet; a claim is any rule under which the earlier use
    lies within the rest of the wanted one. Uses that begin after the wanted season are left out.
    """
    if not len(wanted) or not len(past):
        return np.empty(0, np.int64), np.empty(0, np.int64)
    tree = shapely.STRtree(shapely.box(*past.boxes.T))
    mine, theirs = tree.query(shapely.box(*wanted.boxes.T))
    between = np.maximum(wanted.first[mine] - past.last[theirs] - 1, 0)
    in_time = past.first[theirs] <= wanted.first[mine]
    matters = np.zeros(len(mine), dtype=bool)
    for my_rows, their_rows, rest in _claims(wanted, past, claims):
        matters |= my_rows[mine] & their_rows[theirs] & (between < rest)
    kept = matters & in_time
    order = np.lexsort((theirs[kept], mine[kept]))
    return mine[kept][order], theirs[kept][order]


def _claims(wanted: Crops, past: Crops, claims: Claims) -> Iterator[tuple[Flags, Flags, int]]:
    """Each rule as the wanted rows and the past rows that it speaks of, and its rest. [seasons]"""
    mine, theirs = np.array(wanted.families), np.array(past.families)
    for family in sorted(set(wanted.families) & set(past.families)):
        if family in claims.rests:
            yield mine == family, theirs == family, claims.rests[family].recommended_seasons
    if claims.root_rest:
        yield wanted.is_root, past.is_root, claims.root_rest
    for problem in claims.seen:
        yield _hosts(problem, wanted), _hosts(problem, past), problem.rest.recommended_seasons


def _hosts(problem: Problem, crops: Crops) -> Flags:
    kinds = {kind: problem.lives_on(*kind) for kind in set(zip(crops.crop_keys, crops.families, strict=True))}
    return np.array([kinds[kind] for kind in zip(crops.crop_keys, crops.families, strict=True)], dtype=bool)
