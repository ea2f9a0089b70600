"""Reading who holds what: the plots of a site, one plot with its past, vacancies and the waiting list."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Count, Exists, OuterRef, Prefetch, Q, QuerySet, prefetch_related_objects

from plots.measures import area_words
from plots.models import Bed, CoWorker, Plot, PlotOffer, Site, Sowing, Tenancy, WaitingEntry
from plots.natural_order import natural_key
from plots.natural_sorting import Naturally
from plots.selectors import open_on, season_of
from plots.verdict_selectors import OPEN_STATES, warning_stands
from society.models import Member


@dataclass(frozen=True, slots=True)
class PlotLine:
    """One plot in the list of a site."""

    plot: Plot
    tenancy: Tenancy | None
    tenants: tuple[Member, ...]
    helpers: tuple[Member, ...]
    rest_warnings: int

    @property
    def is_vacant(self) -> bool:
        return self.tenancy is None

    @property
    def area_m2(self) -> Decimal:
        return self.plot.area_m2

    @property
    def area_text(self) -> str:
        return area_words(float(self.plot.area_m2))


@dataclass(frozen=True, slots=True)
class PlotHolding:
    """One plot with its beds, what is planned or stands there, and everybody who ever held it."""

    plot: Plot
    beds: tuple[Bed, ...]
    closed_beds: tuple[Bed, ...]
    sowings: tuple[Sowing, ...]
    tenancy: Tenancy | None
    tenancies: tuple[Tenancy, ...]
    co_workers: tuple[CoWorker, ...]
    offer: PlotOffer | None

    @property
    def is_vacant(self) -> bool:
        return self.tenancy is None

    @property
    def tenants(self) -> tuple[Member, ...]:
        return tuple(self.tenancy.holders.all()) if self.tenancy else ()

    @property
    def area_text(self) -> str:
        return area_words(float(self.plot.area_m2))


def plots_on(site: Site, *, on: date) -> QuerySet[Plot]:
    """Plots laid out and not given up on a day, 2 before 10."""
    there = Q(laid_out_on__lte=on) & (Q(given_up_on__isnull=True) | Q(given_up_on__gt=on))
    return Plot.objects.filter(there, site=site).select_related("site").order_by(Naturally("number"))


def vacant_plots(site: Site, *, on: date) -> QuerySet[Plot]:
    """Plots that nobody holds on a day, nor is to hold later."""
    held = Tenancy.objects.filter(Q(until__isnull=True) | Q(until__gt=on), plot=OuterRef("pk"))
    return plots_on(site, on=on).exclude(Exists(held))


def plots_counted(plots: QuerySet[Plot], *, season: int) -> QuerySet[Plot]:
    """Plots with the number of rest warnings that stand on them from a season on."""
    warned = warning_stands("patches__sowings__verdict__") & Q(
        patches__sowings__last_season__gte=season,
        patches__sowings__state__in=OPEN_STATES,
    )
    return plots.annotate(rest_warnings=Count("patches__sowings", filter=warned, distinct=True))


def plot_lines(site: Site, *, on: date) -> list[PlotLine]:
    """A site's plots with tenants, helpers and the number of rest warnings that stand. Four queries."""
    return plot_lines_of(plots_counted(plots_on(site, on=on), season=season_of(site, on)), on=on)


def plot_lines_of(counted: Iterable[Plot], *, on: date) -> list[PlotLine]:
    """The same of these plots, whose warnings are counted already. Three queries beside their own."""
    rows = list(counted)
    prefetch_related_objects(
        rows,
        Prefetch("tenancies", _tenancies().filter(open_on(on, "")), to_attr="open_tenancies"),
        Prefetch("co_workers", _helping(on), to_attr="helping"),
    )
    return [_line(plot) for plot in rows]


def plot_holding(plot: Plot, *, on: date) -> PlotHolding:
    """Gather one plot. A fixed number of queries, however long its past."""
    beds = sorted(plot.beds.all(), key=lambda bed: natural_key(bed.name))
    tenancies = tuple(_tenancies().filter(plot=plot).order_by("-since", "-pk"))
    sowings = Sowing.objects.filter(
        Q(state=Sowing.State.SOWN) | Q(season__gte=season_of(plot.site, on)),
        patch__plot=plot,
        state__in=OPEN_STATES,
    )
    offers = PlotOffer.objects.filter(plot=plot, answer="", made_on__lte=on, lapses_on__gte=on)
    return PlotHolding(
        plot=plot,
        beds=tuple(bed for bed in beds if bed.until is None or bed.until > on),
        closed_beds=tuple(bed for bed in beds if bed.until is not None and bed.until <= on),
        sowings=tuple(sowings.select_related("patch__bed", "verdict").order_by("season", "sow_on", "pk")),
        tenancy=next((each for each in tenancies if _is_open(each, on)), None),
        tenancies=tenancies,
        co_workers=tuple(_helping(on).filter(plot=plot)),
        offer=offers.select_related("entry__member").first(),
    )


def waiting_on(site: Site) -> QuerySet[WaitingEntry]:
    """Those who wait, in the order in which they asked, each with the offers made."""
    waiting = WaitingEntry.objects.filter(site=site, closed_on__isnull=True).select_related("member")
    return waiting.prefetch_related("offers__plot").order_by("asked_on", "pk")


def waiting_list(site: Site) -> Sequence[WaitingEntry]:
    return list(waiting_on(site))


def _line(plot: Plot) -> PlotLine:
    open_tenancies: list[Tenancy] = plot.open_tenancies  # type: ignore[attr-defined]  # prefetched above
    tenancy = open_tenancies[0] if open_tenancies else None
    return PlotLine(
        plot=plot,
        tenancy=tenancy,
        tenants=tuple(tenancy.holders.all()) if tenancy else (),
        helpers=tuple(helper.member for helper in plot.helping),  # type: ignore[attr-defined]
        rest_warnings=plot.rest_warnings,  # type: ignore[attr-defined]  # counted by the caller
    )


def _is_open(tenancy: Tenancy, on: date) -> bool:
    return tenancy.since <= on and (tenancy.until is None or tenancy.until > on)


def _tenancies() -> QuerySet[Tenancy]:
    return Tenancy.objects.prefetch_related("holders")


def _helping(on: date) -> QuerySet[CoWorker]:
    return CoWorker.objects.filter(open_on(on, "")).select_related("member").order_by("since", "pk")
