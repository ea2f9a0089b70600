"""Reading a site's year: where its season would begin by its climate, and what is sown on it in a month."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet
from django.db.models.functions import Coalesce

from plots.growing_year import season_start_proposed
from plots.models import Site, Sowing
from plots.natural_sorting import Naturally
from schedules.weather_selectors import monthly_normals


@dataclass(frozen=True, slots=True)
class MonthSowing:
    """One sowing of a month: on the day it was or is to be sown, or about the best day of its plan."""

    sowing: Sowing
    day: date
    is_sown: bool
    is_fixed: bool


def season_start_of(site: Site) -> tuple[int, int] | None:
    """Month and day to propose as the beginning of a site's season; None while its normals are not known."""
    normals = monthly_normals(site)
    if normals is None:
        return None
    return season_start_proposed([float(mean_c) for mean_c in (normals.tmin_c + normals.tmax_c) / 2])


def sowings_in_month(site: Site, *, year: int, month: int) -> list[MonthSowing]:
    """What was sown, is to be sown, or would best be sown in a month, in the order of days. One query."""
    return month_sowings(sowings_of_month(site, year=year, month=month))


def sowings_of_month(site: Site, *, year: int, month: int, by_plot: bool = False) -> QuerySet[Sowing]:
    """The same as rows, for a page that shows some of them: by day, or plot by plot."""
    first = date(year, month, 1)
    after = date(year + month // 12, month % 12 + 1, 1)
    in_order = Naturally("patch__plot__number")
    return (
        Sowing.objects.filter(patch__site=site)
        .exclude(Q(state=Sowing.State.CLEARED) & Q(sown_on__isnull=True))
        .annotate(day=Coalesce("sown_on", "sow_on", "outlook__sow_best"))
        .filter(day__gte=first, day__lt=after)
        .select_related("patch__plot", "patch__bed", "verdict", "outlook")
        .order_by(*([in_order] if by_plot else []), "day", in_order, "pk")
    )


def month_sowings(rows: Iterable[Sowing]) -> list[MonthSowing]:
    """Sowings of a month as they are read: each with its day."""
    return [
        MonthSowing(
            row,
            row.day,  # type: ignore[attr-defined]  # annotated above
            is_sown=row.sown_on is not None,
            is_fixed=bool(row.sown_on or row.sow_on),
        )
        for row in rows
    ]
