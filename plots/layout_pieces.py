"""The pieces of a plot that a layout gives out: beds, or the strips into which the growers divide them."""

from dataclasses import dataclass

from django.db.models import Q

from plots.layout_slices import strips
from plots.mixes import Mixes
from plots.models import Bed, LayoutAsk, Plot
from plots.natural_order import natural_key
from plots.outlines import Corners
from plots.rotation.proposals import Ground
from plots.rotation.rest_rules import LONGEST_REST_SEASONS
from plots.selectors import season_begins, season_of


@dataclass(frozen=True, slots=True)
class LayoutPiece:
    """A bed (strip 0) or one of its strips, with the seasons in which it is there."""

    key: str
    name: str
    bed: Bed
    strip: int
    outline: Corners
    first_season: int
    last_season: int | None
    vessel: str

    def is_there(self, season: int) -> bool:
        return self.first_season <= season and (self.last_season is None or season <= self.last_season)

    @property
    def ground(self) -> Ground:
        """As the pure package takes it. A container's mix was fresh when it was laid out."""
        site = self.bed.plot.site
        since = season_of(site, self.bed.since) - LONGEST_REST_SEASONS if self.vessel else None
        return Ground(self.key, self.name, self.outline, self.vessel, since)


def beds_to_lay_out(plot: Plot, first_season: int) -> list[Bed]:
    """Beds that are there when the first season begins, or later. One query."""
    lasting = Q(until__isnull=True) | Q(until__gt=season_begins(plot.site, first_season))
    rows = plot.beds.filter(lasting).select_related("plot__site")
    return sorted(rows, key=lambda bed: natural_key(bed.name))


def pieces_of(plot: Plot, ask: LayoutAsk) -> list[LayoutPiece]:
    """Every piece that is there in at least one of the seasons asked for. One query, two with a container."""
    found, mixes = [], Mixes(plot.site)
    for bed in beds_to_lay_out(plot, ask.first_season):
        first, last = _seasons_there(bed)
        if first > ask.last_season or (last is not None and last < ask.first_season):
            continue
        vessel = mixes.vessel(bed.pk, bed.kind, last_season=ask.last_season)
        count = int(ask.divisions.get(str(bed.pk), 1))
        for number, outline in enumerate(strips(bed.outline, count), start=1):
            strip = number if count > 1 else 0
            name = f"{bed.name}, strip {number}" if strip else bed.name
            found.append(
                LayoutPiece(piece_key(bed.pk, strip), name, bed, strip, outline, first, last, vessel)
            )
    return found


def piece_key(bed_pk: int, strip: int) -> str:
    """'12' for a whole bed, '12.3' for its third strip."""
    return f"{bed_pk}.{strip}" if strip else f"{bed_pk}"


def _seasons_there(bed: Bed) -> tuple[int, int | None]:
    """The seasons through whose whole length a bed is there; the one in which it was laid out counts."""
    site = bed.plot.site
    first = season_of(site, bed.since)
    return first, None if bed.until is None else season_of(site, bed.until) - 1
