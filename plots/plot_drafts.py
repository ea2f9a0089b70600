"""Land divided anew, judged before anything is saved: a plot halved, two merged. Nothing here writes."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256

from django.core.exceptions import ValidationError
from django.db.models import Q
from shapely import Polygon

from plots.bed_checks import standing_words
from plots.bed_drafts import BedPlan, plan_like
from plots.bed_shapes import CutFault, joined, stored
from plots.changes import Faults, local_day, row_check
from plots.models import Bed, BedKind, Plot, PlotOffer, Sowing, Tenancy
from plots.natural_order import natural_key
from plots.outlines import Corners, polygon
from plots.placing import overhangs
from plots.plot_services import area_of, plot_refuse_clashes
from plots.verdict_selectors import OPEN_STATES

# A part of a bed that a line leaves on its other side, too small to be a bed: common practice.
SMALLEST_BED_M2 = 0.3
SMALLEST_PLOT_M2 = 5.0
# Plots that are one again met at a hedge: what was measured further apart is no common side.
HEDGE_M = 0.5


@dataclass(frozen=True, slots=True)
class NewBed:
    """A bed as it is to be on a new plot, the ``which``-th, and the bed that it was (part of)."""

    was: Bed
    which: int
    plan: BedPlan


@dataclass(frozen=True, slots=True)
class Parting:
    """Plots that end on a day, and those that have their land from then on; nothing of it is saved.

    ``carried`` are containers, ``standing`` sowings still open, each with the new plot that it goes to.
    ``tenancies`` end that day; where there are any they go on as one on the new plot ``keeper``.
    """

    on: date
    ending: tuple[Plot, ...]
    making: tuple[Plot, ...]
    beds: tuple[NewBed, ...]
    carried: tuple[tuple[Bed, int], ...]
    standing: tuple[tuple[Sowing, int], ...]
    tenancies: tuple[Tenancy, ...]
    keeper: int | None

    @property
    def mark(self) -> str:
        """The same for the same wish on the same ground: what was looked at is what is kept."""
        said = [
            self.on.isoformat(),
            self.keeper,
            [[plot.pk, plot.version] for plot in self.ending],
            [[plot.number, plot.outline] for plot in self.making],
            [[bed.was.pk, bed.was.version, bed.which, bed.plan.name, bed.plan.outline] for bed in self.beds],
            [[bed.pk, bed.version, which] for bed, which in self.carried],
            [[row.pk, which] for row, which in self.standing],
            [[each.pk, each.version] for each in self.tenancies],
        ]
        return sha256(json.dumps(said).encode()).hexdigest()[:32]


def halves_drafted(
    *,
    plot: Plot,
    outlines: Sequence[Corners],
    numbers: Sequence[str],
    keeper: int | None,
    on: date,
    now: datetime,
) -> Parting:
    """A plot in two; ``keeper`` says which of them whoever holds it goes on with."""
    making = [_plot([plot], number, outline, on) for number, outline in zip(numbers, outlines, strict=True)]
    faults = Faults()
    if making[0].number.casefold() == making[1].number.casefold():
        faults.add("number", "the two halves need two numbers")
    tenancies = _running([plot], on, faults)
    if tenancies and keeper is None:
        faults.add(
            "keeper",
            f"plot {plot.number} is held by {_holders(tenancies[0])}; say which half they keep, or end the "
            "tenancy first",
        )
    return _drafted([plot], making, tenancies, keeper, on, now, faults)


def merged_drafted(*, plots: Sequence[Plot], number: str, on: date, now: datetime) -> Parting:
    """Two adjoining plots as one. Both may be held by the same members, or one of them by nobody."""
    one, other = plots
    try:
        outline = joined(one.outline, other.outline, reach_m=HEDGE_M)
    except CutFault as fault:
        raise ValidationError(
            {
                "other": f"plots {one.number} and {other.number} cannot be one: {fault}. They must meet "
                "along a side; correct the corners of one of them if they do on the ground"
            }
        ) from None
    faults = Faults()
    tenancies = _running(plots, on, faults)
    if len({frozenset(each.holders.values_list("pk", flat=True)) for each in tenancies}) > 1:
        held = " and ".join(f"plot {each.plot.number} by {_holders(each)}" for each in tenancies)
        faults.add("other", f"they are held by different members, {held}; end one of the tenancies first")
    making = [_plot(plots, number, outline, on)]
    return _drafted(plots, making, tenancies, 0 if tenancies else None, on, now, faults)


def _plot(parents: Sequence[Plot], number: str, outline: Corners, on: date) -> Plot:
    """A new plot; its record is complete since that of all its parents is."""
    known = [parent.record_since for parent in parents]
    since = None if None in known else max(each for each in known if each is not None)
    return Plot(
        site=parents[0].site, number=number.strip(), outline=outline, area_m2=area_of(outline),
        record_since=since, laid_out_on=on,
    )  # fmt: skip


def _drafted(
    ending: Sequence[Plot],
    making: Sequence[Plot],
    tenancies: Sequence[Tenancy],
    keeper: int | None,
    on: date,
    now: datetime,
    faults: Faults,
) -> Parting:
    _check_ending(ending, on, local_day(ending[0].site, now), faults)
    for plot in making:
        _check_making(plot, ending, faults)
    faults.refuse()
    beds, carried = _beds(ending, making, on, faults)
    standing = _standing(ending, making, keeper if tenancies else None, faults)
    faults.refuse()
    return Parting(
        on, tuple(ending), tuple(making), tuple(beds), tuple(carried), tuple(standing), tuple(tenancies),
        keeper if tenancies else None,
    )  # fmt: skip


def _check_ending(ending: Sequence[Plot], on: date, today: date, faults: Faults) -> None:
    for plot in ending:
        if plot.given_up_on is not None:
            faults.add("on", f"plot {plot.number} was given up on {plot.given_up_on} already")
        elif not plot.laid_out_on <= on <= today:
            faults.add("on", f"give a day from {plot.laid_out_on}, when it was laid out, to today, {today}")
    offers = PlotOffer.objects.filter(plot__in=ending, answer="", lapses_on__gte=on)
    for offer in offers.select_related("plot", "entry__member"):
        faults.add(
            "plot",
            f"plot {offer.plot.number} is offered to {offer.entry.member.name} until {offer.lapses_on}; note "
            "the answer first",
        )


def _check_making(plot: Plot, ending: Sequence[Plot], faults: Faults) -> None:
    if float(plot.area_m2) < SMALLEST_PLOT_M2:
        faults.add(
            "at_m", f"{plot.area_m2} m² is no plot; leave {SMALLEST_PLOT_M2:g} m² or more on each side"
        )
    try:
        row_check(plot)
        plot_refuse_clashes(plot, instead_of=ending)
    except ValidationError as fault:
        faults.take(fault)


def _running(plots: Sequence[Plot], on: date, faults: Faults) -> list[Tenancy]:
    rows = Tenancy.objects.filter(Q(until__isnull=True) | Q(until__gt=on), plot__in=plots)
    found = list(rows.select_related("plot").prefetch_related("holders").order_by("plot", "since"))
    for each in found:
        if each.since > on:
            faults.add(
                "on", f"plot {each.plot.number} is let from {each.since}; give that day or a later one"
            )
        elif each.until is not None:
            faults.add(
                "on", f"plot {each.plot.number} was held until {each.until}; give that day or a later one"
            )
    return found


def _holders(tenancy: Tenancy) -> str:
    return " and ".join(member.name for member in tenancy.holders.all())


def _beds(
    ending: Sequence[Plot], making: Sequence[Plot], on: date, faults: Faults
) -> tuple[list[NewBed], list[tuple[Bed, int]]]:
    found: list[NewBed] = []
    carried: list[tuple[Bed, int]] = []
    lasting = Q(until__isnull=True) | Q(until__gt=on)
    places = {plot.pk: place for place, plot in enumerate(ending)}
    rows = Bed.objects.filter(lasting, plot__in=ending).select_related("plot")
    for bed in sorted(rows, key=lambda bed: (places[bed.plot_id], natural_key(bed.name))):
        if bed.until is not None or bed.since > on:
            day = bed.until or bed.since
            faults.add("on", f"{bed.name} of plot {bed.plot.number} changed on {day}; give that day or later")
            continue
        home = _home(making, bed.outline)
        if bed.kind == BedKind.CONTAINER:
            if home is None:
                faults.add("at_m", f"{bed.name} would stand across the line; move it, or the line")
            else:
                carried.append((bed, home))
        elif home is not None:
            found.append(
                NewBed(bed, home, plan_like(bed, bed.outline, name=_name(bed, home, found, carried)))
            )
        else:
            found += [
                NewBed(bed, which, plan_like(bed, piece, name=_name(bed, which, found, carried)))
                for which, piece in _pieces(bed, making)
            ]
    return found, carried


def _home(making: Sequence[Plot], outline: Corners) -> int | None:
    """The new plot that holds all of an outline."""
    return next((at for at, plot in enumerate(making) if not overhangs(plot.outline, outline)), None)


def _pieces(bed: Bed, making: Sequence[Plot]) -> list[tuple[int, Corners]]:
    """The parts of a bed that lie across the line, without those too small to be beds."""
    found = []
    for which, plot in enumerate(making):
        piece = polygon(bed.outline).intersection(polygon(plot.outline))
        if isinstance(piece, Polygon) and piece.area >= SMALLEST_BED_M2:
            found.append((which, stored(piece, like=bed.outline)))
    return found


def _name(bed: Bed, which: int, found: Sequence[NewBed], carried: Sequence[tuple[Bed, int]]) -> str:
    """The bed's own name, with its old plot's number where another bed of the new plot has that name."""
    taken = {each.plan.name.casefold() for each in found if each.which == which}
    taken |= {each.name.casefold() for each, home in carried if home == which}
    name, number = bed.name, 1
    longest = Bed._meta.get_field("name").max_length or 40
    while name.casefold() in taken:
        tail = f" of {bed.plot.number}" + (f" ({number})" if number > 1 else "")
        name, number = f"{bed.name[: longest - len(tail)]}{tail}", number + 1
    return name


def _standing(
    ending: Sequence[Plot], making: Sequence[Plot], keeper: int | None, faults: Faults
) -> list[tuple[Sowing, int]]:
    found = []
    rows = Sowing.objects.filter(patch__plot__in=ending, state__in=OPEN_STATES)
    for row in rows.select_related("patch__bed", "patch__plot").order_by("season", "pk"):
        home = _home(making, row.patch.outline)
        remedy = "lift or clear it" if row.state == Sowing.State.SOWN else "move or withdraw the plan"
        if home is None:
            faults.add("at_m", f"{standing_words(row)}, across the line; {remedy} first, or move the line")
        elif keeper is not None and home != keeper:
            faults.add(
                "keeper",
                f"{standing_words(row)}, on the half that nobody would hold; {remedy} first, or choose the "
                "other half",
            )
        else:
            found.append((row, home))
    return found
