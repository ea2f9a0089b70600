"""What a piece of ground still rests from, and from which season on it would be free of it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plots.crops import crops
from plots.rotation.customs import ROOTS, Customs
from plots.rotation.ground import GroundUse, Outline, Wanted
from plots.rotation.judging import judge
from plots.rotation.problems import Sighting, problems
from plots.rotation.rest_rules import rest_rules
from plots.rotation.verdicts import Level

# Long enough before any rest period: what is told comes from what is on record, not from gaps in it.
WHOLE_RECORD_SEASONS = 100


@dataclass(frozen=True, slots=True)
class Resting:
    """One rule by which some ground still rests.

    ``claim`` is 'family', 'problem' or 'roots'; ``group`` the family or the key of the problem;
    ``free_from`` the first season without it, ``is_possible`` whether only something uncertain speaks for it.
    """

    claim: str
    group: str
    free_from: int
    is_possible: bool


def resting(
    outline: Outline,
    season: int,
    past: Sequence[GroundUse],
    *,
    sightings: Sequence[Sighting] = (),
    customs: Customs | None = None,
    vessel: str = "",
) -> list[Resting]:
    """Return every rule under which some of this ground is not free as a season begins, longest first.

    Parameters
    ----------
    outline : Outline
        The ground, in the site's frame. [m]
    season : int
        The season that begins; what stands in it counts as without any rest.
    past, sightings, customs
        As ``judge`` takes them; ``past`` of every family.
    vessel : str
        The container in whose mix is asked, empty for the ground itself.
    """
    near = [use for use in past if use.vessel == vessel]
    seen = [each for each in sightings if each.vessel == vessel]
    ground = Wanted("ground", outline, "", "", "", season, vessel=vessel)
    found: dict[tuple[str, str], Resting] = {}
    for asked in _asked(ground, near, seen, customs):
        verdict = judge(
            asked, near, record_since=season - WHOLE_RECORD_SEASONS, sightings=seen, customs=customs
        )
        for each in (verdict, *verdict.also):
            free = each.values.get("free_from_season")
            claim, group = str(each.values.get("claim", "")), str(each.values.get("family", ""))
            if isinstance(free, int) and free > season and each.level is not Level.NO_RECORD:
                rest = Resting(claim, group, free, each.level is Level.POSSIBLE)
                known = found.setdefault((claim, group), rest)
                if rest.free_from > known.free_from:
                    found[claim, group] = rest
    return sorted(found.values(), key=lambda rest: (-rest.free_from, rest.claim, rest.group))


def _asked(
    ground: Wanted, past: Sequence[GroundUse], seen: Sequence[Sighting], customs: Customs | None
) -> Iterator[Wanted]:
    """The ground once for each family, each single crop and each group that a rule may speak of."""
    hosts = {host for sighting in seen for host in problems()[sighting.problem].hosts}
    of_crops = [each for each in crops() if each.key in hosts]
    families = {use.family for use in past} | (hosts - {each.key for each in of_crops})
    for family in sorted(families):
        if family in rest_rules() or family in hosts:
            yield _as(ground, family=family)
    for crop in of_crops:
        yield _as(ground, family=crop.family, crop_key=crop.key)
    if customs is not None and customs.root_after_root:
        yield _as(ground, family=ROOTS, is_root=True)


def _as(ground: Wanted, *, family: str, crop_key: str = "", is_root: bool = False) -> Wanted:
    return Wanted(
        ground.key, ground.polygon, crop_key, "", family, ground.season, is_root=is_root, vessel=ground.vessel
    )
