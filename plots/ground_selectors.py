"""Reading the ground record as the rotation rule wants it: patches with family and seasons, in one frame."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from django.db.models import Q, QuerySet

from plots.crops import Crop, UnknownCrop
from plots.crops import crop as crop_of
from plots.ground_columns import (
    Bounds,
    Box,
    Boxes,
    UnreadableUse,
    box_round,
    is_root,
    uses_that_matter,
)
from plots.mixes import Mixes, vessel_of
from plots.models import GroundCustoms, Plot, Site, SocietyRest, Sowing
from plots.models import Sighting as StoredSighting
from plots.models.outlined import Outlined
from plots.natural_sorting import Naturally
from plots.rotation import (
    Customs,
    GroundUse,
    OutlineFault,
    RestWish,
    Sighting,
    Verdict,
    Wanted,
    judge_many,
    problems,
    rest_rules,
)
from plots.rotation.ground import Checked, outlines_checked
from plots.rotation.relevance import Crops, claims_of, reach_of
from plots.rotation.rest_rules import LONGEST_REST_SEASONS
from plots.selectors import season_of
from society.models import Society


class GroundRecordFault(ValueError):
    """Something stored that cannot be judged; says which row, and what to mend."""


@dataclass(frozen=True, slots=True)
class GroundRecord:
    """Everything that may stand against some wanted sowings, and the society's own rules."""

    uses: list[GroundUse]
    sightings: list[Sighting]
    customs: Customs
    mixes: Mixes


def sowings_to_judge(
    site: Site, *, current_season: int, season: int | None = None, plot: Plot | None = None
) -> QuerySet[Sowing]:
    """What was grown, stands or is planned from the current season on, or in the one season asked for."""
    rows = Sowing.objects.filter(patch__site=site).select_related("patch__plot", "patch__bed", "verdict")
    if plot is not None:
        rows = rows.filter(patch__plot=plot)
    in_time = Q(last_season__gte=current_season) if season is None else Q(season=season)
    rows = rows.filter(in_time)
    return rows.order_by(Naturally("patch__plot__number"), "season", "pk")


def sowings_touching(sowings: QuerySet[Sowing], grounds: Sequence[Outlined]) -> QuerySet[Sowing]:
    """Those of the sowings whose bounding box meets the one round patches or what else lies there."""
    return sowings.filter(box_round(grounds).meets("patch__"))


def seasons_on_record(site: Site, *, plot: Plot | None = None) -> list[int]:
    """Seasons in which anything was begun, oldest first."""
    rows = Sowing.objects.filter(patch__site=site)
    if plot is not None:
        rows = rows.filter(patch__plot=plot)
    return list(rows.order_by("season").values_list("season", flat=True).distinct())


def customs_of(society: Society) -> Customs:
    """What a society decided for its ground. Two queries."""
    own = GroundCustoms.objects.filter(society=society).first() or GroundCustoms()
    return Customs(
        rests={
            row.family: RestWish(row.minimum_seasons, row.recommended_seasons, row.because)
            for row in SocietyRest.objects.filter(society=society)
        },
        root_after_root=own.root_after_root_seasons,
        failed_counts=own.failed_counts,
    )


def sightings_near(site: Site, box: Box | Boxes, mixes: Mixes) -> list[Sighting]:
    """Problems seen on ground whose box meets this one, without those withdrawn. One query, two in mix.

    However long ago: hosts grown since may have kept a problem alive.
    """
    rows = StoredSighting.objects.filter(
        box.meets(), site=site, withdrawn_at__isnull=True, problem__in=list(problems())
    )
    return [
        Sighting(
            row.key,
            row.outline,
            row.problem,
            row.season,
            row.is_sure,
            mixes.vessel(
                row.bed_id,
                row.bed.kind if row.bed else None,
                last_season=row.season,
                ended_on=row.seen_on,
            ),
        )
        for row in rows.select_related("bed").order_by("pk")
    ]


def ground_record(
    site: Site,
    *,
    wanted: Sequence[Sowing],
    current_season: int,
    customs: Customs | None = None,
    every_family: bool = False,
    widest_m: float | None = None,
) -> GroundRecord:
    """Everything on record that may stand against the wanted sowings, whichever plot it belonged to.

    The box round all wanted patches, the kinds asked for and the longest rest bound it: families of their
    own, the hosts of problems seen there, root crops where the society has a rule for them. ``every_family``
    is for asking what else would fit.
    """
    own = customs_of(site.society) if customs is None else customs
    mixes = Mixes(site)
    if not wanted:
        return GroundRecord([], [], own, mixes)
    box = box_round(sowing.patch for sowing in wanted)
    seen = sightings_near(site, box, mixes)
    claims = claims_of(rest_rules(), seen, own)
    asked = _crops_asked(wanted)
    only = None if every_family else asked
    bounds = Bounds(
        box=box,
        first=int(asked.first.min()),
        latest=int(asked.first.max()),
        reach=reach_of(claims, only),
        widest_m=widest_m,
    )
    try:
        uses = uses_that_matter(
            site, bounds, wanted=only, claims=claims, current_season=current_season, mixes=mixes
        )
    except UnreadableUse as fault:
        raise GroundRecordFault(str(fault)) from fault
    return GroundRecord(uses, seen, own, mixes)


def verdicts_of(sowings: Sequence[Sowing], record: GroundRecord) -> list[Verdict]:
    """Judge stored or drafted sowings of one site against its record."""
    return judge_many(
        wanted_ground(sowings, record.mixes),
        record.uses,
        record_since=[record_since_of(sowing) for sowing in sowings],
        sightings=record.sightings,
        customs=record.customs,
    )


def record_since_of(sowing: Sowing) -> int | None:
    """Since when all is known of what a sowing stands in; mix is fresh when its container is laid out."""
    patch = sowing.patch
    if patch.bed is not None and vessel_of(patch.bed_id, patch.bed.kind):
        return season_of(patch.plot.site, patch.bed.since) - LONGEST_REST_SEASONS
    return patch.plot.record_since


def wanted_ground(sowings: Sequence[Sowing], mixes: Mixes) -> list[Wanted]:
    """The rule's questions about stored or drafted sowings."""
    crops = [_crop_of(sowing) for sowing in sowings]
    keys, outlines = [str(sowing.key) for sowing in sowings], [sowing.patch.outline for sowing in sowings]
    try:
        checked = outlines_checked(keys, outlines)
    except OutlineFault as fault:
        raise _fault(sowings[keys.index(fault.key)], str(fault)) from fault
    return [_wanted(*each, mixes) for each in zip(sowings, crops, checked, strict=True)]


def _wanted(sowing: Sowing, crop: Crop, outline: Checked, mixes: Mixes) -> Wanted:
    bed = sowing.patch.bed
    vessel = mixes.vessel(
        sowing.patch.bed_id,
        bed.kind if bed else None,
        last_season=sowing.last_season,
        ended_on=sowing.ended_on,
    )
    return Wanted(
        key=str(sowing.key),
        outline=outline,
        crop_key=crop.key,
        crop_name=crop.name,
        family=crop.family,
        season=sowing.season,
        is_root=is_root(crop),
        vessel=vessel,
    )


def _fault(sowing: Sowing, reason: str) -> GroundRecordFault:
    return GroundRecordFault(f"plot {sowing.patch.plot.number}, sowing {sowing.pk} ({sowing}): {reason}")


def _crop_of(sowing: Sowing) -> Crop:
    try:
        return crop_of(sowing.crop)
    except UnknownCrop as fault:
        raise _fault(sowing, str(fault)) from fault


def _crops_asked(wanted: Sequence[Sowing]) -> Crops:
    kinds = [_crop_of(sowing) for sowing in wanted]
    patches = [sowing.patch for sowing in wanted]
    seasons = np.array([sowing.season for sowing in wanted], dtype=np.int64)
    return Crops(
        boxes=np.array([(each.min_x, each.min_y, each.max_x, each.max_y) for each in patches], dtype=float),
        families=[crop.family for crop in kinds],
        crop_keys=[crop.key for crop in kinds],
        first=seasons,
        last=seasons,
        is_root=np.array([is_root(crop) for crop in kinds], dtype=bool),
    )
