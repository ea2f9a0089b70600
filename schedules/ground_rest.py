"""How long ground still rests, worked out from the record for any outline and any season, and in words."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from plots.crops import crop as crop_of
from plots.ground_selectors import GroundRecord
from plots.models import Bed, Site
from plots.other_use_families import plain_family_name
from plots.outlines import Corners
from plots.rotation import Problem, Resting, problems, rest_rules, resting
from plots.selectors import season_name
from schedules.hatches import mark_of
from society.templatetags.words import in_words

NAMED_FAMILIES = 2
family_name = plain_family_name
LEVEL_WORDS = {
    "sound": "rested",
    "no record": "no record",
    "possible": "perhaps not rested",
    "short": "short of the rest advised",
    "broken": "under the least rest",
}


@dataclass(frozen=True, slots=True)
class Rest:
    """Ground that still rests from a family, from the hosts of a problem, or from root crops.

    ``family`` and ``mark`` are empty where it is about other than one family; ``why`` says what beside the
    family's own rest keeps it, ``is_possible`` that only something uncertain speaks for it.
    """

    family: str
    mark: str
    family_name: str
    seasons: int
    free_from: str
    why: str = ""
    is_possible: bool = False


def rests_of(
    outline: Corners, site: Site, past: GroundRecord, season: int, *, vessel: str = ""
) -> list[Rest]:
    """What some of this ground still rests from as the season begins, longest first; of a family once.

    ``past`` comes from ``plots.ground_past``; ``vessel`` names the container in whose mix is asked.
    """
    found: dict[str, Rest] = {}
    for each in resting(
        outline, season, past.uses, sightings=past.sightings, customs=past.customs, vessel=vessel
    ):
        rest = _rest(each, site, season)
        found.setdefault(rest.family or rest.family_name, rest)  # the longest comes first
    return list(found.values())


def rests_of_bed(bed: Bed, site: Site, past: GroundRecord, season: int) -> list[Rest]:
    """The same of a whole bed, or of the mix that is in a container then."""
    vessel = past.mixes.vessel(bed.pk, bed.kind, last_season=season)
    return rests_of(bed.outline, site, past, season, vessel=vessel)


def _rest(each: Resting, site: Site, season: int) -> Rest:
    problem = problems().get(each.group) if each.claim == "problem" else None
    family, name = _subject(each.group, problem)
    return Rest(
        family=family,
        mark=mark_of(family) if family else "",
        family_name=name,
        seasons=each.free_from - season,
        free_from=season_name(site, each.free_from),
        why=_why(problem, each.is_possible) if problem else "",
        is_possible=each.is_possible,
    )


def _subject(group: str, problem: Problem | None) -> tuple[str, str]:
    """The family that rests, and in words what does."""
    if problem is not None:
        family = next(iter(problem.hosts)) if len(problem.hosts) == 1 else ""
        if family and is_family(family):
            return family, family_name(family)
        return "", f"hosts of {problem.name} ({hosts_words(problem.hosts)})"
    if group in rest_rules():
        return group, family_name(group)
    return "", "root crops"


def _why(problem: Problem, is_possible: bool) -> str:
    return f"{problem.name} {'may have been' if is_possible else 'was'} seen here"


def is_family(host: str) -> bool:
    """Whether a host of a problem is a whole family; otherwise it is one crop."""
    return host.endswith("aceae")


def hosts_words(hosts: Collection[str]) -> str:
    """'the carrot family, the pea and bean family', or crops by name."""
    families = sorted(f"the {family_name(host)}" for host in hosts if is_family(host))
    crops = sorted(crop_of(host).name_in_text for host in hosts if not is_family(host))
    return listed([*families, *crops])


def listed(names: Sequence[str]) -> str:
    """'a, b and c'"""
    return " and ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))


def families_words(rests: Sequence[Rest]) -> str:
    """'the cabbage family and the beet family'; of many the number, and the one that rests longest."""
    names = [f"the {rest.family_name}" for rest in rests]
    if len(names) > NAMED_FAMILIES:
        kinds = "families" if all(rest.family for rest in rests) else "kinds of crops"
        return f"{in_words(len(names))} {kinds}, longest from {names[0]}"
    return " and ".join(names)
