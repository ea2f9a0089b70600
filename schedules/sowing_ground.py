"""The beds of a plot as the sowing form offers them: how long, from which end measured, what stands there."""

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import Q
from shapely import Polygon

from plots.crops import crop as crop_of
from plots.measures import length_words
from plots.models import Bed, Plot, Sowing
from plots.natural_order import natural_key
from plots.placing import WINDS
from plots.selectors import season_name, season_of
from schedules.planner.sentences import Units
from schedules.plot_page import kind_words


@dataclass(frozen=True, slots=True)
class BedChoice:
    bed: Bed
    kind: str
    size: str
    from_where: str
    carries: str


def bed_choices(plot: Plot, *, today: date, units: Units) -> list[BedChoice]:
    """Beds that are there today or later. Two queries, whatever they carry."""
    lasting = Q(until__isnull=True) | Q(until__gt=today)
    beds = sorted(plot.beds.filter(lasting), key=lambda bed: natural_key(bed.name))
    present = season_of(plot.site, today)
    rows = Sowing.objects.filter(
        patch__bed__in=beds, state__in=[Sowing.State.PLANNED, Sowing.State.SOWN], last_season__gte=present
    )
    carried: dict[int | None, list[Sowing]] = defaultdict(list)
    for row in rows.select_related("patch").order_by("season", "pk"):
        carried[row.patch.bed_id].append(row)
    return [_choice(bed, plot, carried[bed.pk], units) for bed in beds]


def _choice(bed: Bed, plot: Plot, rows: Sequence[Sowing], units: Units) -> BedChoice:
    along, across = _sides(bed)
    return BedChoice(
        bed=bed,
        kind=kind_words(bed),
        size=f"{length_words(along[1], units)} by {length_words(across[1], units)}",
        from_where=f"{along[0]} end and the {across[0]} side",
        carries=_carried(rows, plot),
    )


def shared_from_where(choices: Sequence[BedChoice]) -> str:
    """From where the beds are measured, if that is the same for all of them."""
    words = {choice.from_where for choice in choices}
    return words.pop() if len(words) == 1 else ""


def _carried(rows: Sequence[Sowing], plot: Plot) -> str:
    """'Stands: Radish. Planned: Turnip 2027, Radish 2028'."""
    standing = [crop_of(row.crop).name for row in rows if row.state == Sowing.State.SOWN]
    planned = [
        f"{crop_of(row.crop).name} {season_name(plot.site, row.season)}"
        for row in rows
        if row.state == Sowing.State.PLANNED
    ]
    said = [("Stands", standing), ("Planned", planned)]
    return ". ".join(f"{word}: {'; '.join(names)}" for word, names in said if names)


def _sides(bed: Bed) -> tuple[tuple[str, float], tuple[str, float]]:
    """From which end a bed is measured, and how far it reaches that way: along, then across."""
    corners, shape = bed.outline, Polygon(bed.outline)
    (x, y), (x_next, y_next) = corners[0], corners[1]
    first_side = math.hypot(x_next - x, y_next - y)
    east, north = (x_next - x) / first_side, (y_next - y) / first_side
    inward = 1 if shape.exterior.is_ccw else -1
    across = (-north * inward, east * inward)
    return (
        (_wind(-east, -north), _reach(corners, (east, north))),
        (_wind(-across[0], -across[1]), _reach(corners, across)),
    )


def _wind(east: float, north: float) -> str:
    return WINDS[round(math.degrees(math.atan2(north, east)) / 45) % len(WINDS)]


def _reach(corners: Sequence[Sequence[float]], way: tuple[float, float]) -> float:
    places = [x * way[0] + y * way[1] for x, y in corners]
    return max(places) - min(places)
