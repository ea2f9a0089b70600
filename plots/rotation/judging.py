"""The rotation rule itself: one wanted patch and the ground record in, one verdict out."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from shapely import get_parts
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from plots.rotation.customs import ROOTS, Customs, adapted
from plots.rotation.evidence import ground_values, named_overlaps, rule_values, seasons_between
from plots.rotation.ground import GroundUse, Wanted
from plots.rotation.overlaps import Piece, Pieces
from plots.rotation.problems import Problem, Sighting, problems
from plots.rotation.rest_rules import LONGEST_REST_SEASONS, RestRule, rest_rules
from plots.rotation.verdicts import JSON, Level, Verdict

NO_RULE = "rotation-no-rule"
RULE_NAMES = {
    Level.SOUND: "rotation-rested",
    Level.NO_RECORD: "rotation-no-record",
    Level.POSSIBLE: "rotation-coarse-record",
    Level.SHORT: "rotation-under-recommended",
    Level.BROKEN: "rotation-under-minimum",
}
NO_RULE_SOURCE = "no published rest period on file for this family"


def judge(
    wanted: Wanted,
    past: Iterable[GroundUse],
    *,
    record_since: int | None,
    rules: Mapping[str, RestRule] | None = None,
    sightings: Iterable[Sighting] = (),
    customs: Customs | None = None,
) -> Verdict:
    """Judge whether ground has rested long enough for a crop of its family.

    Parameters
    ----------
    wanted : Wanted
        The patch asked for, its family and season. Outline in the site's frame. [m]
    past : iterable of GroundUse
        The ground record in the same frame, in any order. Other families, uses that begin after the
        wanted season, and the use whose key is the wanted key itself are passed over.
    record_since : int or None
        First season for which this ground has a full record; None when it has none. [season]
    rules : mapping of family to RestRule, optional
        The packaged rules when left out.
    sightings : iterable of Sighting
        Problems seen on this ground, those withdrawn left out. Each lengthens the rest of its hosts where it
        was seen, across families; one that nobody confirmed is only possible.
    customs : Customs, optional
        The society's own rules.

    Returns
    -------
    Verdict
        ``broken``: certain ground of the family with fewer full seasons between than the minimum;
        ``short``: fewer than recommended; ``possible``: only a coarse record lies within the rest;
        ``no record``: nothing found, but the record is shorter than the recommended rest, or the family
        has no rule on file; ``sound``: nothing found in a record that is long enough. Of several rules
        (family, root after root, problems) the worst is returned, the others that object in ``also``, and
        ``free_from_season`` is when all of them are met.

    Raises
    ------
    OutlineFault, ValueError
        Already when a ``Wanted`` or ``GroundUse`` with an unusable outline or seasons is made.

    Notes
    -----
    Full seasons between = wanted season - last season stood in - 1, and 0 for a crop of the same season.
    An overwintered crop counts from its last season. Overlaps are unions of polygons less the tolerance
    of ``plots.rotation.overlaps.counted``, so that splitting a past patch changes nothing and adding
    history never improves a verdict.

    References
    ----------
    The rest periods carry their own sources, in ``data/rest.csv``; the tolerance is common practice,
    no published source.
    """
    return judged(
        Pieces(wanted.polygon),
        wanted,
        past,
        record_since=record_since,
        rules=rest_rules() if rules is None else rules,
        sightings=sightings,
        customs=customs or Customs(),
    )


def judged(
    pieces: Pieces,
    wanted: Wanted,
    past: Iterable[GroundUse],
    *,
    record_since: int | None,
    rules: Mapping[str, RestRule],
    sightings: Iterable[Sighting],
    customs: Customs,
) -> Verdict:
    """Judge as ``judge`` does, with what the past shares with the patch at hand already."""
    uses = [use for use in past if use.vessel == wanted.vessel and (customs.failed_counts or not use.failed)]
    seen = [sighting for sighting in sightings if sighting.vessel == wanted.vessel]
    verdicts = [
        _by_family(wanted, uses, record_since, rules, customs, pieces),
        *_by_roots(wanted, uses, customs, pieces),
        *_by_problems(wanted, uses, seen, pieces),
    ]
    # Of rules that object alike the one with the most ground, so that more history never looks better.
    worst = max(verdicts, key=lambda verdict: (verdict.level.severity, verdict.area_m2))
    if len(verdicts) == 1:
        return worst
    others = tuple(each for each in verdicts if each is not worst and each.level not in NOTHING_AGAINST)
    free = max(
        (each.free_from_season for each in verdicts if each.free_from_season is not None), default=None
    )
    return replace(worst, free_from_season=free, also=others)


NOTHING_AGAINST = frozenset({Level.SOUND, Level.NO_RECORD})


def _by_family(
    wanted: Wanted,
    uses: Sequence[GroundUse],
    record_since: int | None,
    rules: Mapping[str, RestRule],
    customs: Customs,
    pieces: Pieces,
) -> Verdict:
    rule = rules.get(wanted.family)
    if rule is None:
        return _without_rule(wanted)
    rest = adapted(rule, customs.rests.get(wanted.family))
    return _by_rule(wanted, uses, record_since, rest, pieces)


def _by_roots(
    wanted: Wanted, uses: Sequence[GroundUse], customs: Customs, pieces: Pieces
) -> Iterator[Verdict]:
    """Judge any root crop after any other, where the society wants that; no record is no objection."""
    rule = customs.root_rule
    if rule is not None and wanted.is_root:
        roots = [replace(use, outline=use.polygon, family=ROOTS) for use in uses if use.is_root]
        known_since = wanted.season - LONGEST_REST_SEASONS
        yield _by_rule(_asking(wanted, ROOTS), roots, known_since, rule, pieces)


def _by_problems(
    wanted: Wanted, uses: Sequence[GroundUse], sightings: Iterable[Sighting], pieces: Pieces
) -> Iterator[Verdict]:
    """Judge against each problem seen here that lives on the wanted crop."""
    seen: dict[str, list[Sighting]] = {}
    for sighting in sightings:
        problem = problems()[sighting.problem]
        if (
            problem.lives_on(wanted.crop_key, wanted.family)
            and sighting.season <= wanted.season
            and sighting.polygon.intersects(wanted.polygon)
        ):
            seen.setdefault(problem.key, []).append(sighting)
    for key in sorted(seen):
        problem = problems()[key]
        fed = [each for sighting in seen[key] for each in _fed(problem, sighting, uses)]
        known_since = wanted.season - LONGEST_REST_SEASONS
        yield _by_rule(_asking(wanted, key), fed, known_since, problem.rest, pieces)


def _fed(problem: Problem, sighting: Sighting, uses: Sequence[GroundUse]) -> Iterator[GroundUse]:
    """Where a problem was seen, and where its hosts stood on that ground afterwards: the rest begins anew."""
    yield GroundUse(
        key=sighting.key,
        outline=sighting.polygon,
        crop_key="",
        crop_name=f"{problem.name} seen",
        family=problem.key,
        first_season=sighting.season,
        last_season=sighting.season,
        coarse=not sighting.is_sure,
    )
    for use in uses:
        if use.last_season > sighting.season and problem.lives_on(use.crop_key, use.family):
            for number, part in enumerate(_polygons(use.polygon.intersection(sighting.polygon))):
                yield replace(
                    use,
                    key=f"{use.key}/{sighting.key}/{number}" if number else use.key,
                    outline=part,
                    family=problem.key,
                    coarse=use.coarse or not sighting.is_sure,
                )


def _polygons(ground: BaseGeometry) -> list[Polygon]:
    return [part for part in get_parts(ground) if isinstance(part, Polygon) and part.area > 0]


def _asking(wanted: Wanted, group: str) -> Wanted:
    return replace(wanted, outline=wanted.polygon, family=group)


def _by_rule(
    wanted: Wanted, past: Iterable[GroundUse], record_since: int | None, rule: RestRule, pieces: Pieces
) -> Verdict:
    """Judge by one rule alone; the uses and the wanted ground carry the rule's group as their family."""
    in_time = [use for use in past if _is_within_rest(use, wanted, rule)]
    pieces.take([use.polygon for use in in_time])
    within = [use for use in in_time if pieces.of(use.polygon).area_m2 > 0]
    level, rest, uses = _level(wanted, within, record_since, rule, pieces)
    ground = _counted(pieces, uses)
    free_from = None if level is Level.SOUND else _free_from(wanted, within, record_since, rule, pieces)
    overlaps = named_overlaps(wanted, uses, ground, pieces)
    return Verdict(
        level=level,
        rule=RULE_NAMES[level],
        values=rule_values(wanted, rule)
        | ground_values(within, overlaps, ground, pieces)
        | {
            "seasons_between": rest,
            "record_since": record_since,
            "known_seasons": _known_seasons(wanted, record_since),
            "free_from_season": free_from,
        },
        source=rule.source,
        area_m2=ground.area_m2,
        share=ground.area_m2 / pieces.area_m2,
        free_from_season=free_from,
        overlaps=overlaps,
    )


def _is_within_rest(use: GroundUse, wanted: Wanted, rule: RestRule) -> bool:
    return (
        use.family == wanted.family
        and use.key != wanted.key
        and use.first_season <= wanted.season
        and seasons_between(use, wanted) < rule.recommended_seasons
    )


def _level(
    wanted: Wanted, within: Sequence[GroundUse], record_since: int | None, rule: RestRule, pieces: Pieces
) -> tuple[Level, int | None, list[GroundUse]]:
    """Return the level, the fewest seasons between that count, and the uses that give the level."""
    certain = [use for use in within if not use.coarse]
    rest = _shortest_rest(wanted, certain, pieces)
    if rest is not None and rest < rule.minimum_seasons:
        under = [use for use in certain if seasons_between(use, wanted) < rule.minimum_seasons]
        return Level.BROKEN, rest, under
    if rest is not None:
        return Level.SHORT, rest, certain
    rest = _shortest_rest(wanted, within, pieces)
    if rest is not None:
        return Level.POSSIBLE, rest, list(within)
    known = _known_seasons(wanted, record_since)
    return (Level.SOUND if known >= rule.recommended_seasons else Level.NO_RECORD), None, []


def _shortest_rest(wanted: Wanted, uses: Sequence[GroundUse], pieces: Pieces) -> int | None:
    """Return the fewest seasons between at which the covered ground counts, None when it never does."""
    for rest in sorted({seasons_between(use, wanted) for use in uses}):
        if _counted(pieces, [use for use in uses if seasons_between(use, wanted) <= rest]).area_m2:
            return rest
    return None


def _counted(pieces: Pieces, uses: Iterable[GroundUse]) -> Piece:
    return pieces.counted([use.polygon for use in uses])


def _known_seasons(wanted: Wanted, record_since: int | None) -> int:
    return 0 if record_since is None else max(wanted.season - record_since, 0)


def _free_from(
    wanted: Wanted, within: Sequence[GroundUse], record_since: int | None, rule: RestRule, pieces: Pieces
) -> int | None:
    """Return the first season, never before the wanted one, in which nothing within the rest would count."""
    if record_since is None and not _counted(pieces, within).area_m2:
        return None
    known_from = wanted.season if record_since is None else record_since + rule.recommended_seasons
    first = max(wanted.season, known_from)
    ends = sorted({use.last_season + rule.recommended_seasons + 1 for use in within})
    for season in [first, *(end for end in ends if end > first)]:
        still = [use for use in within if use.last_season + rule.recommended_seasons >= season]
        if not _counted(pieces, still).area_m2:
            return season
    return first


def _without_rule(wanted: Wanted) -> Verdict:
    values: dict[str, JSON] = {"family": wanted.family, "crop": wanted.crop_name, "season": wanted.season}
    return Verdict(Level.NO_RECORD, NO_RULE, values, NO_RULE_SOURCE, 0.0, 0.0, None, ())
