"""What the planner is told of a site. Nothing here writes."""

from plots.models import Site
from schedules.agronomy.site_learning import SoilLearning
from schedules.learning_selectors import SiteHistory
from schedules.planner import SiteFacts


def site_facts(site: Site, *, history: SiteHistory | None = None) -> SiteFacts:
    """The site as the planner sees it, with what ``history`` taught of its soil where it is given.

    ``soil_readings`` counts days with readings. ``soil_error_c`` is the mean absolute error of the corrected
    estimate at them, each day left out in turn; with one day alone that of the estimate as it comes. A
    sentence on the sowing day may say: 'corrected by ... from ... days of readings, within ... so far'.
    """
    learnt = history.soil if history is not None else SoilLearning()
    error_c = learnt.error_after_c if learnt.error_after_c is not None else learnt.error_before_c
    return SiteFacts(
        latitude=site.latitude,
        longitude=site.longitude,
        zone=site.zone,
        insects=frozenset(site.insects),
        soil=site.soil,
        height_m=site.height_m,
        soil_correction_c=round(learnt.correction_c, 2),
        soil_error_c=None if error_c is None else round(error_c, 2),
        soil_readings=learnt.days,
    )
