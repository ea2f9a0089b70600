"""What stands against a bed lying where it is wished, and what stands in it. Nothing here writes."""

from collections.abc import Collection, Iterable, Sequence
from datetime import date

from django.core.exceptions import ValidationError
from django.db.models import Q
from shapely import MultiPolygon, Polygon

from plots.changes import Faults
from plots.models import Bed, BedKind, Sowing
from plots.outlines import Corners
from plots.placing import overhang_words, overhangs, overlap_m2
from plots.verdict_selectors import OPEN_STATES


class StandsThere(ValidationError):
    """A question, not a refusal: something stands or is planned on the ground of a bed that is to change.

    ``standing`` is what the answer has to name, so that nobody agrees to what they did not read.
    """

    def __init__(self, standing: Sequence[Sowing]) -> None:
        super().__init__(
            {"standing": [f"{standing_words(each)}, and stays where it is" for each in standing]}
        )
        self.standing = tuple(standing)


def standing_on(outlines: Iterable[Corners], *, site_id: int) -> list[Sowing]:
    """What stands or is planned on any of some ground, whichever bed it was entered for. One query."""
    ground = [list(outline) for outline in outlines]
    if not ground:
        return []
    min_x, min_y, max_x, max_y = MultiPolygon([Polygon(each) for each in ground]).bounds
    rows = Sowing.objects.filter(
        patch__site=site_id, state__in=OPEN_STATES,
        patch__min_x__lte=max_x, patch__max_x__gte=min_x, patch__min_y__lte=max_y, patch__max_y__gte=min_y,
    ).select_related("patch__bed", "patch__plot")  # fmt: skip
    return [
        row
        for row in rows.order_by("season", "pk")
        if any(overlap_m2(each, row.patch.outline) for each in ground)
    ]


def standing_asked(standing: Sequence[Sowing], seen: Collection[int]) -> None:
    """Raise the question unless everything that stands there was seen."""
    if {row.pk for row in standing} - set(seen):
        raise StandsThere(standing)


def standing_words(row: Sowing) -> str:
    """'Carrot, early stands in bed 1 (2027)'."""
    where = row.patch.bed.name if row.patch.bed else "open ground"
    verb = "stands" if row.state == Sowing.State.SOWN else "is planned"
    return f"{row.crop_name} {verb} in {where} ({row.season})"


def unfinished_after(bed: Bed, on: date) -> list[Sowing]:
    """What came out of a bed only after a day."""
    return list(Sowing.objects.filter(ended_on__gt=on, patch__bed=bed))


def in_the_way_words(sowing: Sowing) -> str:
    if sowing.state == Sowing.State.PLANNED:
        return f"{sowing.crop_name} is planned in it for {sowing.season}; withdraw the plan or move it first"
    if sowing.ended_on:
        return f"{sowing.crop_name} stood in it until {sowing.ended_on}; give that day or a later one"
    return f"{sowing.crop_name} stands in it; lift or clear it first"


def bed_faults(bed: Bed, *, others: Iterable[Bed], faults: Faults) -> None:
    """Add what is wrong with one bed: out of its plot, over another, a name given twice, no height.

    ``bed`` need not be saved; ``others`` are those that last beyond the day on which it begins.
    """
    if bed.kind == BedKind.CONTAINER and not bed.height_m > 0:
        faults.add("height_m", "a container stands above the ground; give its height in metres, like 0.6")
    out = overhangs(bed.plot.outline, bed.outline)
    if out:
        faults.add(
            "outline",
            f"it would stick out {overhang_words(out)} of plot {bed.plot.number}; move it or make it smaller",
        )
    for other in others:
        if other.until is None and other.name.casefold() == bed.name.casefold():
            faults.add("name", f"there is a bed called {other.name} on this plot already; give another name")
        shared_m2 = overlap_m2(bed.outline, other.outline)
        if shared_m2:
            faults.add(
                "outline",
                f"{shared_m2:.2f} m² of it lie over {other.name}; move it, or change {other.name} first",
            )


def beds_lasting(bed: Bed) -> list[Bed]:
    """The plot's other beds that last beyond the day on which this one begins."""
    lasting = Q(until__isnull=True) | Q(until__gt=bed.since)
    return list(Bed.objects.filter(lasting, plot=bed.plot).exclude(pk=bed.pk))
