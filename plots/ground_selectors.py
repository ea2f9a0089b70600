"""Reading the ground record as the rotation rule wants it: patches with family and seasons, in one frame."""

from collections.abc import Sequence

from django.db.models import Q, QuerySet

from plots.crops import UnknownCrop, crops
from plots.crops import crop as crop_of
from plots.models import Patch, Plot, Site, Sowing
from plots.rotation import GroundUse, Wanted, rest_rules


class GroundRecordFault(ValueError):
    """A stored sowing that cannot be judged; says which one, and what to mend."""

    def __init__(self, sowing: Sowing, reason: str) -> None:
        super().__init__(f"plot {sowing.patch.plot.number}, sowing {sowing.pk} ({sowing}): {reason}")


def sowings_to_judge(
    site: Site, *, current_season: int, season: int | None = None, plot: Plot | None = None
) -> QuerySet[Sowing]:
    """What was grown, stands or is planned from the current season on, or in the one season asked for."""
    rows = Sowing.objects.filter(patch__site=site).select_related("patch__plot", "patch__bed", "verdict")
    if plot is not None:
        rows = rows.filter(patch__plot=plot)
    in_time = Q(last_season__gte=current_season) if season is None else Q(season=season)
    rows = rows.filter(in_time)
    return rows.order_by("patch__plot__number", "season", "pk")


def sowings_touching(sowings: QuerySet[Sowing], patch: Patch) -> QuerySet[Sowing]:
    """Those of the sowings whose bounding box meets the patch's."""
    return sowings.filter(
        patch__min_x__lte=patch.max_x,
        patch__max_x__gte=patch.min_x,
        patch__min_y__lte=patch.max_y,
        patch__max_y__gte=patch.min_y,
    )


def seasons_on_record(site: Site, *, plot: Plot | None = None) -> list[int]:
    """Seasons in which anything was begun, oldest first."""
    rows = Sowing.objects.filter(patch__site=site)
    if plot is not None:
        rows = rows.filter(patch__plot=plot)
    return list(rows.order_by("season").values_list("season", flat=True).distinct())


def ground_uses(site: Site, *, wanted: Sequence[Sowing], current_season: int) -> list[GroundUse]:
    """Everything on record that may stand against the wanted sowings, whichever plot it belonged to.

    One query: the box round all wanted patches, the families asked for and the longest rest bound it.
    A plan from a season gone by that nobody confirmed as sown is only a possible use.
    """
    if not wanted:
        return []
    longest = max(rule.recommended_seasons for rule in rest_rules().values())
    families = {family_of(sowing) for sowing in wanted}
    rows = Sowing.objects.filter(
        patch__site=site,
        crop__in=[each.key for each in crops() if each.family in families],
        season__lte=max(sowing.season for sowing in wanted),
        last_season__gte=min(sowing.season for sowing in wanted) - longest,
        patch__min_x__lte=max(sowing.patch.max_x for sowing in wanted),
        patch__max_x__gte=min(sowing.patch.min_x for sowing in wanted),
        patch__min_y__lte=max(sowing.patch.max_y for sowing in wanted),
        patch__max_y__gte=min(sowing.patch.min_y for sowing in wanted),
    )
    return [_use(sowing, current_season) for sowing in rows.select_related("patch__plot").order_by("pk")]


def wanted_ground(sowing: Sowing) -> Wanted:
    """The rule's question about one stored sowing."""
    try:
        return Wanted(
            key=str(sowing.key),
            outline=sowing.patch.outline,
            crop_key=sowing.crop,
            crop_name=sowing.crop_name,
            family=family_of(sowing),
            season=sowing.season,
        )
    except ValueError as fault:
        raise GroundRecordFault(sowing, str(fault)) from fault


def family_of(sowing: Sowing) -> str:
    try:
        return crop_of(sowing.crop).family
    except UnknownCrop as fault:
        raise GroundRecordFault(sowing, str(fault)) from fault


def _use(sowing: Sowing, current_season: int) -> GroundUse:
    unconfirmed = sowing.state == Sowing.State.PLANNED and sowing.last_season < current_season
    try:
        return GroundUse(
            key=str(sowing.key),
            outline=sowing.patch.outline,
            crop_key=sowing.crop,
            crop_name=sowing.crop_name,
            family=family_of(sowing),
            first_season=sowing.season,
            last_season=sowing.last_season,
            coarse=sowing.patch.is_coarse or unconfirmed,
        )
    except ValueError as fault:
        raise GroundRecordFault(sowing, str(fault)) from fault
