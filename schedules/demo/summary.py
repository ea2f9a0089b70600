"""What the demo came to, counted from the database."""

from collections import Counter
from dataclasses import dataclass
from datetime import date, timedelta

from plots.models import Plot, Site, Sowing
from plots.selectors import season_of
from schedules.models import Delivery
from schedules.selectors import jobs_due, rest_warnings
from society.models import Member

WEEK_DAYS = 7


@dataclass(frozen=True, slots=True)
class Summary:
    """`jobs_due` counts the coming seven days by kind, `letters_written` this week's sent letters."""

    members: int
    plots: int
    sowings: int
    jobs_due: dict[str, int]
    rest_warnings: int
    letters_written: int


def demo_summary(site: Site, *, today: date) -> Summary:
    plots = list(Plot.objects.filter(site=site))
    kinds = Counter(due.kind for due in jobs_due(plots, today=today, days=WEEK_DAYS))
    letters = Delivery.objects.filter(
        kind=Delivery.Kind.WEEKLY,
        state=Delivery.State.SENT,
        local_date__gt=today - timedelta(days=WEEK_DAYS),
        local_date__lte=today,
    )
    return Summary(
        members=Member.objects.count(),
        plots=len(plots),
        sowings=Sowing.objects.filter(patch__site=site).count(),
        jobs_due=dict(sorted(kinds.items())),
        rest_warnings=rest_warnings(plots, season=season_of(site, today)).count(),
        letters_written=letters.count(),
    )
