"""What else would fit: the families and crops that a piece of ground is sound for in a season."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from plots.rotation.customs import Customs
from plots.rotation.ground import GroundUse, Wanted
from plots.rotation.judging import judged
from plots.rotation.overlaps import Pieces
from plots.rotation.problems import Sighting
from plots.rotation.rest_rules import RestRule, rest_rules
from plots.rotation.verdicts import Level


@dataclass(frozen=True, slots=True)
class Candidate:
    """A crop that might be grown instead."""

    crop_key: str
    name: str
    family: str
    is_root: bool = False


def fitting(
    wanted: Wanted,
    candidates: Iterable[Candidate],
    past: Sequence[GroundUse],
    *,
    record_since: int | None,
    rules: Mapping[str, RestRule] | None = None,
    sightings: Sequence[Sighting] = (),
    customs: Customs | None = None,
) -> list[Candidate]:
    """Return the candidates for which the wanted ground is sound in the wanted season, in their order.

    Parameters
    ----------
    wanted : Wanted
        The ground and the season; its own crop and family play no part. [m]
    candidates : iterable of Candidate
        Crops to try.
    past, record_since, rules, sightings, customs
        As ``judge`` takes them; ``past`` must hold every family, not the wanted one alone.

    Returns
    -------
    list of Candidate
        Those with nothing against them under any rule. A family without a rest on file, and ground whose
        record is too short, is never called sound.
    """
    pieces = Pieces(wanted.polygon)
    chosen = rest_rules() if rules is None else rules
    sound: list[Candidate] = []
    for each in candidates:
        asked = replace(
            wanted,
            outline=wanted.polygon,
            crop_key=each.crop_key,
            crop_name=each.name,
            family=each.family,
            is_root=each.is_root,
        )
        verdict = judged(
            pieces,
            asked,
            past,
            record_since=record_since,
            rules=chosen,
            sightings=sightings,
            customs=customs or Customs(),
        )
        if verdict.level is Level.SOUND and not verdict.also:
            sound.append(each)
    return sound
