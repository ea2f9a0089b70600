"""Beds to be closed and laid on one day, judged before anything is saved. Nothing here writes."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from hashlib import sha256

from django.core.exceptions import ValidationError
from django.db.models import Q

from plots.bed_checks import bed_faults, in_the_way_words, standing_on, unfinished_after
from plots.changes import Faults, local_day, row_check
from plots.models import Bed, BedKind, Plot, Sowing
from plots.outlines import Corners
from plots.plot_services import plot_refuse_given_up

MOST_AT_ONCE = 60


@dataclass(frozen=True, slots=True)
class BedPlan:
    """A bed as it is wished."""

    name: str
    outline: Corners
    kind: str = BedKind.OPEN
    height_m: float = 0.0
    soil: str = ""


@dataclass(frozen=True, slots=True)
class Digging:
    """What is to become of some beds on one day; ``laying`` are not saved, ``standing`` stays where it is."""

    plot: Plot
    on: date
    closing: tuple[Bed, ...]
    laying: tuple[Bed, ...]
    standing: tuple[Sowing, ...]

    @property
    def mark(self) -> str:
        """The same for the same wish on the same ground: what was looked at is what is kept."""
        said = [
            self.on.isoformat(),
            [[bed.pk, bed.version] for bed in self.closing],
            [[bed.name, bed.outline, bed.kind, bed.height_m, bed.soil] for bed in self.laying],
            [row.pk for row in self.standing],
        ]
        return sha256(json.dumps(said).encode()).hexdigest()[:32]


def plan_like(bed: Bed, outline: Corners, *, name: str | None = None) -> BedPlan:
    """Another bed of the same kind, height and soil."""
    return BedPlan(name or bed.name, outline, bed.kind, bed.height_m, bed.soil)


def beds_drafted(
    *, plot: Plot, closing: Sequence[Bed], plans: Sequence[BedPlan], on: date, now: datetime
) -> Digging:
    """Judge a wish; ValidationError names the bed and what is wrong with it."""
    faults = Faults()
    _check_closing(plot, closing, on, local_day(plot.site, now), faults)
    if not plans and not closing:
        faults.add("beds", "name at least one bed that is to be closed or laid out")
    if len(plans) > MOST_AT_ONCE:
        faults.add("beds", f"{len(plans)} beds are too many at once; lay out up to {MOST_AT_ONCE}")
    faults.refuse()
    plot_refuse_given_up(plot, on)
    laying = tuple(_bed(plot, plan, on) for plan in plans)
    lasting = Bed.objects.filter(Q(until__isnull=True) | Q(until__gt=on), plot=plot)
    others = list(lasting.exclude(pk__in=[bed.pk for bed in closing]))
    for number, bed in enumerate(laying):
        found = Faults()
        bed.until = None
        try:
            row_check(bed)
        except ValidationError as fault:
            found.take(fault)
        else:
            bed_faults(bed, others=[*others, *laying[:number]], faults=found)
        if len(laying) == 1:
            found.refuse()
        for sentence in found.sentences:
            faults.add("beds", f"{bed.name}: {sentence}")
    faults.refuse()
    ground = [bed.outline for bed in (*closing, *laying)]
    return Digging(plot, on, tuple(closing), laying, tuple(standing_on(ground, site_id=plot.site_id)))


def _bed(plot: Plot, plan: BedPlan, on: date) -> Bed:
    return Bed(
        plot=plot, name=plan.name.strip(), outline=plan.outline, since=on, kind=plan.kind,
        height_m=plan.height_m, soil=plan.soil,
    )  # fmt: skip


def _check_closing(plot: Plot, closing: Sequence[Bed], on: date, today: date, faults: Faults) -> None:
    for bed in closing:
        if bed.plot_id != plot.pk:
            faults.add("beds", f"{bed.name} is not on plot {plot.number}; choose beds of that plot")
        if bed.until is not None:
            faults.add("beds", f"{bed.name} was closed on {bed.until} already; choose beds that are there")
        elif not bed.since <= on <= today:
            faults.add("on", f"give a day from {bed.since}, when {bed.name} was laid out, to today, {today}")
        if bed.kind == BedKind.CONTAINER:
            faults.add(
                "beds",
                f"{bed.name} is a container: its mix goes with it, and what grew in the mix. Move or turn "
                "it, or close it and lay out a new one with fresh mix",
            )
        for sowing in unfinished_after(bed, on):
            faults.add("on", f"{bed.name}: {in_the_way_words(sowing)}")
