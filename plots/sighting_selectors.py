"""Problems of the ground as the committee goes through them. Nothing here writes."""

from django.db.models import F, QuerySet

from plots.models import Sighting, Site


def sightings_listed(site: Site) -> QuerySet[Sighting]:
    """What waits to be looked at, what is confirmed, what was withdrawn; the latest first in each."""
    return (
        Sighting.objects.filter(site=site)
        .select_related("plot", "bed", "site", "member", "confirmed_by")
        .order_by(F("withdrawn_at").asc(nulls_first=True), "is_sure", "-seen_on", "-pk")
    )


def sightings_to_confirm(site: Site | None = None) -> int:
    """How many wait for the committee, on one site or on all."""
    rows = Sighting.objects.filter(withdrawn_at__isnull=True, is_sure=False)
    return (rows if site is None else rows.filter(site=site)).count()
