"""Reading what the committee tells its members."""

from collections.abc import Iterable
from datetime import date

from django.db.models import QuerySet

from schedules.models import Notice
from schedules.week import MemberWeek


def notices_for_members(weeks: Iterable[MemberWeek], *, on: date) -> QuerySet[Notice]:
    """What is up on a day at the sites on which these members work; at every site for members without ground.

    Who acts for no member reads none: most are for members only.
    """
    of_members = list(weeks)
    if not of_members:
        return Notice.objects.none()
    sites = {plot.site_id for week in of_members for plot in week.plots}
    rows = Notice.objects.filter(since__lte=on, until__gte=on).select_related("site")
    return rows.filter(site__in=sites) if sites else rows
