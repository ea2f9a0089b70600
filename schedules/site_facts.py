"""What the planner is told of a site. Nothing here writes."""

from plots.models import Site
from schedules.planner import SiteFacts


def site_facts(site: Site) -> SiteFacts:
    """The site as the planner sees it."""
    return SiteFacts(
        latitude=site.latitude,
        longitude=site.longitude,
        zone=site.zone,
        insects=frozenset(site.insects),
        soil=site.soil,
        height_m=site.height_m,
    )
