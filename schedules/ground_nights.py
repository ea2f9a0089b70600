"""All ground judged again by night, a site at a time: seasons begin, and plans nobody confirmed grow old."""

import logging
from collections.abc import Iterator
from datetime import datetime, timedelta

from plots.ground_selectors import GroundRecordFault
from plots.ground_services import site_ground_check
from plots.models import Site
from schedules.layout_nights import NIGHT_HOURS
from schedules.models import Sweep
from society import clock
from society.zones import zone

logger = logging.getLogger(__name__)

LOOK = "ground:"
# A server that sleeps by night must not leave its ground unjudged: after a day without, any hour will do.
LONGEST_BETWEEN = timedelta(days=1)


def grounds_check(*, now: datetime) -> None:
    """Judge every site where it is night and this night nobody has.

    One whose record cannot be read is told of, waits for the next night, and keeps no other from its turn.
    """
    for site in list(_sites_due(now)):
        try:
            counts = site_ground_check(site=site, now=now)
        except GroundRecordFault:
            logger.exception("the ground of %s cannot be judged", site.slug)
        else:
            logger.info("the ground of %s is judged: %s", site.slug, dict(counts))
        Sweep.objects.update_or_create(name=f"{LOOK}{site.pk}", defaults={"finished_at": now})


def _sites_due(now: datetime) -> Iterator[Site]:
    looks = dict(Sweep.objects.filter(name__startswith=LOOK).values_list("name", "finished_at"))
    for site in Site.objects.select_related("society").order_by("pk"):
        if _is_due(site, looks.get(f"{LOOK}{site.pk}"), now):
            yield site


def _is_due(site: Site, looked_at: datetime | None, now: datetime) -> bool:
    if looked_at is None or now - looked_at > LONGEST_BETWEEN:
        return True
    there = zone(site.zone)
    is_night = now.astimezone(there).hour in NIGHT_HOURS
    return is_night and clock.local_date(looked_at, there) < clock.local_date(now, there)
