"""Reading rest warnings: which stand, and which the committee has overruled."""

from collections.abc import Collection

from django.db.models import Q, QuerySet

from plots.models import GroundVerdict, Site, Sowing
from plots.natural_sorting import Naturally

WARNING_LEVELS = ("short", "broken")
OPEN_STATES = (Sowing.State.PLANNED, Sowing.State.SOWN)


def not_overruled(link: str = "") -> Q:
    """Verdicts without an overruling that stands; ``link`` leads to them, for example 'verdict__'."""
    return Q(**{f"{link}overruled_at__isnull": True}) | Q(**{f"{link}overruling_lapsed": True})


def warning_stands(link: str = "") -> Q:
    """Short or broken rest that nobody has allowed."""
    return Q(**{f"{link}level__in": WARNING_LEVELS}) & not_overruled(link)


def ground_warned(site: Site, *, season: int) -> QuerySet[GroundVerdict]:
    """Warnings on what stands or is planned from a season on, overruled ones too; plot by plot."""
    return _warned(site).filter(sowing__last_season__gte=season, sowing__state__in=OPEN_STATES)


def rests_broken(site: Site, *, season: int, crops: Collection[str]) -> QuerySet[GroundVerdict]:
    """Warnings on what stood, stands or is planned of these crops in one season; plot by plot."""
    then = {"sowing__season__lte": season, "sowing__last_season__gte": season}
    return _warned(site).filter(sowing__crop__in=crops, **then)


def _warned(site: Site) -> QuerySet[GroundVerdict]:
    return (
        GroundVerdict.objects.filter(sowing__patch__site=site, level__in=WARNING_LEVELS)
        .select_related("sowing__patch__plot__site", "sowing__patch__bed", "overruled_by")
        .order_by(Naturally("sowing__patch__plot__number"), "sowing__season", "sowing_id")
    )
