"""What of the record stood on the same ground as something that is to be added. Nothing here writes."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from plots.models import Patch
from plots.outlines import Corners
from plots.placing import overlap_m2
from plots.record_drafts import Draft, OnRecord, Record

AT_ONCE = 2000


@dataclass(frozen=True, slots=True)
class Overlapping:
    """A draft, what stood there in the same season on record, and how much ground they share."""

    draft: Draft
    row: OnRecord
    area_m2: float


def overlapping(drafts: Iterable[Draft], record: Record) -> Iterator[Overlapping]:
    """Crops of one season on one ground, which may have followed each other, or be an error."""
    pairs = [(draft, row) for draft in drafts for row in record.beside(draft) if row.patch is not None]
    outlines = _outlines({row.patch for _, row in pairs if row.patch is not None})
    for draft, row in pairs:
        outline = outlines.get(row.patch or 0)
        area_m2 = overlap_m2(draft.ground.outline, outline) if outline else 0.0
        if area_m2:
            yield Overlapping(draft, row, area_m2)


def _outlines(keys: set[int]) -> Mapping[int, Corners]:
    wanted = sorted(keys)
    found: dict[int, Corners] = {}
    for at in range(0, len(wanted), AT_ONCE):
        rows = Patch.objects.filter(pk__in=wanted[at : at + AT_ONCE])
        found.update(rows.values_list("pk", "outline"))
    return found
