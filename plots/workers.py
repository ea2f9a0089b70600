"""Who works a plot on a day, seen from the plot."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet

from plots.models import CoWorker, Plot, TenancyHolder
from plots.natural_sorting import Naturally
from plots.selectors import open_on
from society.models import Member


@dataclass(frozen=True, slots=True)
class Hand:
    """A member at work on a plot, holding it or helping on it."""

    member: Member
    holds: bool


def members_working(plot: Plot, *, on: date) -> frozenset[int]:
    """Ids of the members who hold the plot or help on it that day."""
    holding = TenancyHolder.objects.filter(open_on(on, "tenancy"), tenancy__plot=plot)
    helping = CoWorker.objects.filter(open_on(on, ""), plot=plot)
    return frozenset(
        holding.values_list("member_id", flat=True).union(helping.values_list("member_id", flat=True))
    )


def sites_worked(members: Iterable[Member], *, on: date) -> frozenset[int]:
    """Ids of the sites on which these members hold a plot or help on one that day. One query."""
    people = [member.pk for member in members]
    holding = TenancyHolder.objects.filter(open_on(on, "tenancy"), member__in=people)
    helping = CoWorker.objects.filter(open_on(on, ""), member__in=people)
    held = holding.values_list("tenancy__plot__site_id", flat=True)
    return frozenset(held.union(helping.values_list("plot__site_id", flat=True)))


def hands_on(plots: Iterable[Plot], members: Sequence[Member], *, on: date) -> Mapping[int, tuple[Hand, ...]]:
    """By plot, which of these members hold it that day and which help on it. Two queries."""
    wanted = {plot.pk: plot for plot in plots}
    holding = TenancyHolder.objects.filter(
        open_on(on, "tenancy"), tenancy__plot__in=wanted, member__in=members
    ).values_list("tenancy__plot_id", "member_id")
    helping = CoWorker.objects.filter(open_on(on, ""), plot__in=wanted, member__in=members).values_list(
        "plot_id", "member_id"
    )
    held, helped = set(holding), set(helping)
    return {
        pk: tuple(
            Hand(member, holds=(pk, member.pk) in held)
            for member in members
            if (pk, member.pk) in held | helped
        )
        for pk in wanted
    }


def plots_in_order() -> QuerySet[Plot]:
    """Every plot, site by site, in the order of their numbers: 2 comes before 10."""
    return Plot.objects.select_related("site").order_by("site__name", Naturally("number"))
