"""What the plots of an account's members carry: what stands, what is planned, what rests."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q
from django.urls import reverse

from plots.changes import local_day
from plots.crops import crop as crop_of
from plots.ground_past import ground_past
from plots.ground_selectors import GroundRecord
from plots.measures import area_words
from plots.models import Bed, Plot, Sowing
from plots.natural_order import natural_key
from plots.selectors import plots_worked_by, season_begins, season_name, season_of
from plots.workers import Hand, hands_on
from schedules.drafting import apart
from schedules.drawing import BedShape, plot_drawing
from schedules.ground_rest import Rest, rests_of_bed
from schedules.plot_page import LegendLine, crop_shape, legend_line, patch_way
from schedules.wording import day_words
from society.models import Member
from society.templatetags.words import in_words


@dataclass(frozen=True, slots=True)
class Growing:
    """One sowing in a line: what, where, and since or from when."""

    sowing: Sowing
    crop_name: str
    bed_name: str
    when: str


@dataclass(frozen=True, slots=True)
class BedLine:
    """One bed: what stands in it, and what it rests from where nothing stands or is planned this season.

    ``bed`` is None for open ground. ``is_free`` says that it rests from no family on record.
    """

    bed: Bed | None
    name: str
    standing: tuple[Growing, ...]
    rests: tuple[Rest, ...]
    is_free: bool


@dataclass(frozen=True, slots=True)
class PlotGround:
    """One plot as its growers think of it."""

    plot: Plot
    hands: str
    beds: tuple[BedLine, ...]
    planned: tuple[Growing, ...]
    legend: tuple[LegendLine, ...]
    drawing: str

    @property
    def area_text(self) -> str:
        return area_words(float(self.plot.area_m2))

    @property
    def standing(self) -> list[Growing]:
        return [each for line in self.beds for each in line.standing]

    @property
    def draws_rest(self) -> bool:
        return any(line.rests and line.bed for line in self.beds)


def grounds_of(members: Sequence[Member], *, on: date, now: datetime) -> list[PlotGround]:
    """Every plot that these members work on a day. A fixed number of queries a site, however many plots."""
    plots = sorted(
        plots_worked_by(members, on=on), key=lambda plot: (plot.site.name, natural_key(plot.number))
    )
    hands = hands_on(plots, members, on=on)
    beds = _by_plot(Bed.objects.filter(_lasting(on), plot__in=plots))
    rows = Sowing.objects.filter(patch__plot__in=plots)
    rows = rows.select_related("patch__bed", "patch__site", "outlook")
    record: dict[int, list[Sowing]] = defaultdict(list)
    for row in rows.order_by("season", "sown_on", "sow_on", "pk"):
        record[row.patch.plot_id].append(row)
    past = _past(plots, now)
    return [
        _ground(
            plot, _Known(hands[plot.pk], beds[plot.pk], record[plot.pk], past[plot.site_id]),
            local_day(plot.site, now), named=len(members) > 1,
        )
        for plot in plots
    ]  # fmt: skip


def ground_head(grounds: Sequence[PlotGround]) -> str:
    """'Plot 7: two crops stand and one is planned'."""
    standing = sum(len(ground.standing) for ground in grounds)
    planned = sum(len(ground.planned) for ground in grounds)
    many = len(grounds) > 1
    whose = f"Your {in_words(len(grounds))} plots" if many else f"Plot {grounds[0].plot.number}"
    if not standing and not planned:
        return f"{whose}: nothing stands, and nothing is planned"
    stand = f"{in_words(standing)} {'crop stands' if standing == 1 else 'crops stand'}"
    plan = f"{in_words(planned) if planned else 'none'} {'is' if planned <= 1 else 'are'} planned"
    return f"{whose}: {stand} and {plan}" if standing else f"{whose}: nothing stands yet, {plan}"


@dataclass(frozen=True, slots=True)
class _Known:
    """What was read of one plot, and of the ground of its site."""

    hands: Sequence[Hand]
    beds: Sequence[Bed]
    record: Sequence[Sowing]
    past: GroundRecord


def _past(plots: Iterable[Plot], now: datetime) -> dict[int, GroundRecord]:
    by_site: dict[int, list[Plot]] = defaultdict(list)
    for plot in plots:
        by_site[plot.site_id].append(plot)
    found = {}
    for key, members in by_site.items():
        site = members[0].site
        present = season_of(site, local_day(site, now))
        outlines = [plot.outline for plot in members]
        found[key] = ground_past(site, outlines, season=present, current_season=present, with_plans=False)
    return found


def _lasting(on: date) -> Q:
    return Q(until__isnull=True) | Q(until__gt=on)


def _by_plot(beds: Iterable[Bed]) -> dict[int, list[Bed]]:
    found: dict[int, list[Bed]] = defaultdict(list)
    for bed in sorted(beds, key=lambda bed: natural_key(bed.name)):
        found[bed.plot_id].append(bed)
    return found


def _ground(plot: Plot, known: _Known, today: date, *, named: bool) -> PlotGround:
    present = season_of(plot.site, today)
    standing = [row for row in known.record if row.state == Sowing.State.SOWN]
    planned = [
        row for row in known.record if row.state == Sowing.State.PLANNED and row.last_season >= present
    ]
    taken = {row.patch.bed_id for row in [*standing, *planned] if row.season <= present}
    rests = {
        bed.pk: tuple(rests_of_bed(bed, plot.site, known.past, present))
        for bed in known.beds
        if bed.pk not in taken
    }
    grown = defaultdict(list)
    for row in standing:
        grown[row.patch.bed_id].append(_growing(row, _since(row, today)))
    lines = [
        BedLine(bed, bed.name, tuple(grown.pop(bed.pk, ())), rests.get(bed.pk, ()), rests.get(bed.pk) == ())
        for bed in known.beds
    ]
    elsewhere = [each for rows in grown.values() for each in rows]
    if elsewhere:
        lines.append(BedLine(None, "open ground", tuple(elsewhere), (), is_free=False))
    families = sorted({crop_of(row.crop).family for row in standing})
    own = f"p{plot.pk}-"
    return PlotGround(
        plot=plot,
        hands=_hand_words(known.hands, named=named),
        beds=tuple(lines),
        planned=tuple(_growing(row, _from(row, today)) for row in sorted(planned, key=_day)),
        legend=tuple(legend_line(family, own=own) for family in families),
        drawing=apart(_drawing(plot, lines, standing), own),
    )


def _drawing(plot: Plot, lines: Sequence[BedLine], standing: Sequence[Sowing]) -> str:
    return plot_drawing(
        title=f"Plan of plot {plot.number} as it is today",
        words="Drawn to scale, north up. The table below says the same in words, bed by bed.",
        outline=plot.outline,
        beds=[_shape(line.bed, line.rests) for line in lines if line.bed],
        crops=[crop_shape(row, way=patch_way(row)) for row in standing],
    )


def _shape(bed: Bed, rests: Sequence[Rest]) -> BedShape:
    longest = next((rest for rest in rests if rest.family), None)
    return BedShape(
        bed.name,
        bed.outline,
        longest.seasons if longest else 0,
        longest.family if longest else "",
        is_possible=bool(longest and longest.is_possible),
        way=reverse("bed", args=[bed.plot_id, bed.pk]),
    )


def _growing(row: Sowing, when: str) -> Growing:
    bed_name = row.patch.bed.name if row.patch.bed else "open ground"
    return Growing(row, crop_of(row.crop).name, bed_name, when)


def _day(row: Sowing) -> tuple[date, int]:
    """The day by which plans are put in order; one without any comes with its season."""
    best = row.outlook.sow_best if hasattr(row, "outlook") else None
    return row.sow_on or best or season_begins(row.patch.site, row.season), row.pk


def _since(row: Sowing, today: date) -> str:
    return f"since {day_words(row.sown_on, today=today)}" if row.sown_on else f"since {row.season}"


def _from(row: Sowing, today: date) -> str:
    """When a plan is to be sown: on its day, or about the best one."""
    if row.sow_on:
        return (
            f"on {day_words(row.sow_on, today=today)}"
            if row.sow_on > today
            else f"set for {row.sow_on:%-d %B}"
        )
    best = row.outlook.sow_best if hasattr(row, "outlook") else None
    if best is None:
        return f"in {season_name(row.patch.site, row.season)}"
    return f"about {day_words(best, today=today)}"


def _hand_words(hands: Sequence[Hand], *, named: bool) -> str:
    """'You hold it.', or who does where an account acts for several."""
    if not named:
        return "You hold it." if any(hand.holds for hand in hands) else "You help on it."
    said = [f"{hand.member.name} {'holds' if hand.holds else 'helps on'} it" for hand in hands]
    return f"{'; '.join(said)}."
