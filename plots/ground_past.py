"""What some ground carries into a season, of every family, with what was seen there. Nothing here writes."""

from collections.abc import Sequence

from plots.ground_columns import Bounds, Box, Boxes, UnreadableUse, uses_that_matter
from plots.ground_selectors import GroundRecord, GroundRecordFault, customs_of, sightings_near
from plots.mixes import Mixes
from plots.models import Site
from plots.outlines import Corners, polygon
from plots.rotation import Customs, rest_rules
from plots.rotation.relevance import claims_of, reach_of


def ground_past(
    site: Site,
    outlines: Sequence[Corners],
    *,
    season: int,
    current_season: int,
    with_plans: bool = True,
    customs: Customs | None = None,
) -> GroundRecord:
    """Everything on record that may stand against anything sown there in a season, as the verdicts take it.

    Parameters
    ----------
    outlines : sequence of Corners
        The ground, in the site's frame; pieces that lie apart are searched apart. [m]
    season, current_season : int
        What was begun after ``season`` is left out; ``current_season`` is that of today.
    with_plans : bool
        Whether what is planned and may still come to nothing counts as if it were grown.

    Notes
    -----
    Uses of every plot, however it was cut then; no more than eight queries, whatever lies there.
    """
    own = customs_of(site.society) if customs is None else customs
    mixes = Mixes(site)
    if not outlines:
        return GroundRecord([], [], own, mixes)
    boxes = Boxes(tuple(Box(*polygon(outline).bounds) for outline in outlines))
    seen = sightings_near(site, boxes, mixes)
    claims = claims_of(rest_rules(), seen, own)
    bounds = Bounds(
        box=boxes, first=season, latest=season, reach=reach_of(claims, wanted=None), plans=with_plans
    )
    try:
        uses = uses_that_matter(
            site, bounds, wanted=None, claims=claims, current_season=current_season, mixes=mixes
        )
    except UnreadableUse as fault:
        raise GroundRecordFault(str(fault)) from fault
    return GroundRecord(uses, seen, own, mixes)
