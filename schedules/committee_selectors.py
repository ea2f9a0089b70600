"""What the committee's pages gather from all rooms. Nothing here writes."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Count, Q

from plots.holding_selectors import PlotHolding, vacant_plots
from plots.member_selectors import invitations_unanswered
from plots.models import Bed, GroundVerdict, Site, Sowing, WaitingEntry
from plots.outlines import polygon
from plots.placing import first_corner_words
from plots.selectors import season_of
from plots.sighting_selectors import sightings_to_confirm
from plots.verdict_selectors import OPEN_STATES, warning_stands
from schedules.drawing import BedShape, plot_drawing
from schedules.forecast_selectors import sites_in_trouble
from schedules.letter_selectors import TROUBLED
from schedules.models import Delivery
from schedules.plot_page import crop_shape
from schedules.tonight_words import not_known_words

# A letter older than this is past helping; its page keeps it.
LETTERS_OF_DAYS = 30


@dataclass(frozen=True, slots=True)
class Needs:
    """What waits for the committee, counted; ``count`` says how many kinds of it."""

    warnings: int
    letters: Mapping[str, int]
    vacant: int
    waiting: int
    invitations: int
    invitations_run_out: int
    problems: int = 0
    forecasts: tuple[tuple[Site, str], ...] = ()

    @property
    def troubled(self) -> int:
        return sum(self.letters.values())

    @property
    def count(self) -> int:
        kinds = (
            self.warnings, self.problems, self.troubled, self.vacant, self.invitations, self.forecasts,
        )  # fmt: skip
        return sum(bool(each) for each in kinds)


def committee_needs(*, today: date, now: datetime) -> Needs:
    """Warnings, problems to see, letters in trouble, vacant plots, open invitations, failing forecasts."""
    sites = list(Site.objects.all())
    invitations = invitations_unanswered()
    return Needs(
        warnings=_warnings(sites, today),
        problems=sightings_to_confirm(),
        letters=letters_in_trouble(now=now),
        vacant=sum(vacant_plots(site, on=today).count() for site in sites),
        waiting=WaitingEntry.objects.filter(closed_on__isnull=True).count(),
        invitations=invitations.count(),
        invitations_run_out=invitations.filter(expires_at__lte=now).count(),
        forecasts=tuple(
            (each.state.site, not_known_words(each, each.state.site, now=now))
            for each in sites_in_trouble(now=now)
            if each.state
        ),
    )


def letters_in_trouble(*, now: datetime) -> dict[str, int]:
    """Refused, held and doubtful letters to members of the last days, by state."""
    rows = Delivery.objects.filter(
        member__isnull=False, state__in=TROUBLED, due_at__gte=now - timedelta(days=LETTERS_OF_DAYS)
    )
    return dict(rows.order_by().values_list("state").annotate(count=Count("pk")))


def _warnings(sites: list[Site], today: date) -> int:
    of_season = Q(pk__in=[])
    for site in sites:
        of_season |= Q(sowing__patch__site=site, sowing__last_season__gte=season_of(site, today))
    rows = GroundVerdict.objects.filter(warning_stands(), of_season, sowing__state__in=OPEN_STATES)
    return rows.count()


@dataclass(frozen=True, slots=True)
class BedRow:
    bed: Bed
    area_m2: float


@dataclass(frozen=True, slots=True)
class PlotSheet:
    """The plot as the surveyor draws it, and the same in numbers."""

    drawing: str
    beds: tuple[BedRow, ...]
    first_corner: str


def plot_sheet(holding: PlotHolding) -> PlotSheet:
    """Beds, and what stands in them now."""
    plot = holding.plot
    drawing = plot_drawing(
        title=f"Plan of plot {plot.number}",
        words="Drawn to scale, north up. The tables say the same in words.",
        outline=plot.outline,
        beds=[BedShape(bed.name, bed.outline) for bed in holding.beds],
        crops=[crop_shape(sowing) for sowing in holding.sowings if sowing.state == Sowing.State.SOWN],
    )
    rows = (BedRow(bed, polygon(bed.outline).area) for bed in holding.beds)
    return PlotSheet(drawing, tuple(rows), first_corner_words(plot.outline))
