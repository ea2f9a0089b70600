"""Reading ground. Nothing here writes."""

from collections.abc import Iterable
from datetime import date

from django.db.models import Q, QuerySet

from plots.models import Plot, Site, Sowing
from society.models import Member


def season_of(site: Site, day: date) -> int:
    """The season a day belongs to: the year in which that growing year begins."""
    begins = date(day.year, site.season_month, site.season_day)
    return day.year if day >= begins else day.year - 1


def season_begins(site: Site, season: int) -> date:
    return date(season, site.season_month, site.season_day)


def season_name(site: Site, season: int) -> str:
    """'2027' where the growing year is the calendar year, '2027/28' where it runs across it."""
    if (site.season_month, site.season_day) == (1, 1):
        return str(season)
    return f"{season}/{(season + 1) % 100:02d}"


def open_on(day: date, link: str) -> Q:
    """Rows of a linked table that have begun and not yet ended on a day."""
    prefix = f"{link}__" if link else ""
    return Q(**{f"{prefix}since__lte": day}) & (
        Q(**{f"{prefix}until__isnull": True}) | Q(**{f"{prefix}until__gt": day})
    )


def plots_worked_by(members: Member | Iterable[Member], *, on: date) -> QuerySet[Plot]:
    """Plots that these members hold, or help on, on a day."""
    people = [members] if isinstance(members, Member) else list(members)
    held = Q(tenancies__holders__in=people) & open_on(on, "tenancies")
    helped = Q(co_workers__member__in=people) & open_on(on, "co_workers")
    rows = Plot.objects.order_by().values("pk")  # SQLite takes no order inside a union
    plots = rows.filter(held).union(rows.filter(helped))
    return Plot.objects.filter(pk__in=[row["pk"] for row in plots]).select_related("site")


def sowings_of_plot(plot: Plot, *, season: int | None = None) -> QuerySet[Sowing]:
    """A plot's ground record, or what stood on it in one season."""
    rows = Sowing.objects.filter(patch__plot=plot).select_related("patch", "patch__bed", "verdict")
    if season is not None:
        rows = rows.filter(season__lte=season, last_season__gte=season)
    return rows.order_by("season", "pk")
