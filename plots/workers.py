"""Who works a plot on a day, seen from the plot."""

from datetime import date

from django.db.models import QuerySet
from django.db.models.functions import Length

from plots.models import CoWorker, Plot, TenancyHolder
from plots.selectors import open_on


def members_working(plot: Plot, *, on: date) -> frozenset[int]:
    """Ids of the members who hold the plot or help on it that day."""
    holding = TenancyHolder.objects.filter(open_on(on, "tenancy"), tenancy__plot=plot)
    helping = CoWorker.objects.filter(open_on(on, ""), plot=plot)
    return frozenset(
        holding.values_list("member_id", flat=True).union(helping.values_list("member_id", flat=True))
    )


def plots_in_order() -> QuerySet[Plot]:
    """Every plot, site by site, in the order of their numbers: 2 comes before 10."""
    return Plot.objects.select_related("site").order_by("site__name", Length("number"), "number")
