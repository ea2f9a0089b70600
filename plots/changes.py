"""How ground is changed: under the site's lock, and by the rules for every change."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime

from django.db import transaction

from plots.models import Site
from society import clock
from society.changes import Faults, StaleRow, label, note, refuse_stale, row_change, row_check
from society.zones import zone

__all__ = [
    "Faults",
    "StaleRow",
    "label",
    "local_day",
    "note",
    "refuse_stale",
    "row_change",
    "row_check",
    "site_held",
]


@contextmanager
def site_held(site: Site) -> Iterator[None]:
    """Hold a site's ground alone for one transaction, so that what was found free is free when saved."""
    with transaction.atomic():
        Site.objects.select_for_update().get(pk=site.pk)
        yield


def local_day(site: Site, now: datetime) -> date:
    """The site's own date at an instant."""
    return clock.local_date(now, zone(site.zone))
