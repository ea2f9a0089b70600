"""Judging many wanted sowings at once: the verdicts of ``judge``, with the geometry done in bulk."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

import numpy as np
import shapely

from plots.rotation.customs import Customs
from plots.rotation.ground import GroundUse, Wanted
from plots.rotation.judging import judged
from plots.rotation.overlaps import Piece, Pieces, shared_pieces
from plots.rotation.problems import Sighting
from plots.rotation.relevance import Crops, claims_of, pairs_that_matter
from plots.rotation.rest_rules import RestRule, rest_rules
from plots.rotation.verdicts import Verdict


def judge_many(
    wanted: Sequence[Wanted],
    past: Sequence[GroundUse],
    *,
    record_since: Sequence[int | None],
    rules: Mapping[str, RestRule] | None = None,
    sightings: Sequence[Sighting] = (),
    customs: Customs | None = None,
) -> list[Verdict]:
    """Judge each wanted sowing against the whole past.

    Parameters
    ----------
    wanted : sequence of Wanted
        The patches asked for, all in one frame. [m]
    past : sequence of GroundUse
        The ground record of all of it, in any order.
    record_since : sequence of int or None
        For each wanted sowing, as ``judge`` takes it. [season]
    rules, sightings, customs
        As ``judge`` takes them.

    Returns
    -------
    list of Verdict
        For each wanted sowing, in their order, what ``judge`` gives for it with the same past in the same
        order.

    Raises
    ------
    ValueError
        When there are not as many ``record_since`` as wanted sowings.

    Notes
    -----
    A tree of boxes and filters on family, season and claim leave the pairs that can matter; what those
    share is worked out in one call. Unions and the tolerance follow only where something is shared.
    """
    if len(record_since) != len(wanted):
        raise ValueError(
            f"record_since has {len(record_since)} entries for {len(wanted)} wanted; give one each"
        )
    chosen = rest_rules() if rules is None else rules
    own = customs or Customs()
    claims = claims_of(chosen, sightings, own)
    mine, theirs = pairs_that_matter(_crops_wanted(wanted), _crops_past(past), claims)
    shared = _shared(wanted, past, mine, theirs)
    ends = np.searchsorted(mine, np.arange(len(wanted) + 1))
    near = _sightings_near(wanted, sightings)
    verdicts = []
    for row, (asked, since) in enumerate(zip(wanted, record_since, strict=True)):
        span = slice(ends[row], ends[row + 1])
        uses = [past[at] for at in theirs[span].tolist()]
        known = {id(use.polygon): piece for use, piece in zip(uses, shared[span], strict=True)}
        verdicts.append(
            judged(
                Pieces(asked.polygon, known),
                asked,
                uses,
                record_since=since,
                rules=chosen,
                sightings=near.get(row, ()),
                customs=own,
            )
        )
    return verdicts


def _shared(
    wanted: Sequence[Wanted], past: Sequence[GroundUse], mine: np.ndarray, theirs: np.ndarray
) -> list[Piece]:
    if not len(mine):
        return []
    patches = np.array([each.polygon for each in wanted], dtype=object)
    earlier = np.array([use.polygon for use in past], dtype=object)
    return shared_pieces(patches[mine], earlier[theirs])


def _sightings_near(
    wanted: Sequence[Wanted], sightings: Sequence[Sighting]
) -> Mapping[int, Sequence[Sighting]]:
    """Return by row of wanted the sightings whose boxes meet its own, in their order."""
    near: dict[int, list[Sighting]] = defaultdict(list)
    if wanted and sightings:
        tree = shapely.STRtree([each.polygon for each in sightings])
        mine, theirs = tree.query([each.polygon for each in wanted])
        for row, at in sorted(zip(mine.tolist(), theirs.tolist(), strict=True)):
            near[row].append(sightings[at])
    return near


def _crops_wanted(wanted: Sequence[Wanted]) -> Crops:
    seasons = np.array([each.season for each in wanted], dtype=np.int64)
    return Crops(
        boxes=shapely.bounds(np.array([each.polygon for each in wanted], dtype=object)),
        families=[each.family for each in wanted],
        crop_keys=[each.crop_key for each in wanted],
        first=seasons,
        last=seasons,
        is_root=np.array([each.is_root for each in wanted], dtype=bool),
    )


def _crops_past(past: Sequence[GroundUse]) -> Crops:
    return Crops(
        boxes=shapely.bounds(np.array([use.polygon for use in past], dtype=object)),
        families=[use.family for use in past],
        crop_keys=[use.crop_key for use in past],
        first=np.array([use.first_season for use in past], dtype=np.int64),
        last=np.array([use.last_season for use in past], dtype=np.int64),
        is_root=np.array([use.is_root for use in past], dtype=bool),
    )
