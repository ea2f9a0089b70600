"""What a file of old records would put on record, as plain drafts, and what is on record already."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from plots.models import OtherUse, Plot, Sighting, Site, Sowing
from plots.record_csv import What
from plots.record_placing import Box, Ground, box_of, is_near
from plots.record_times import TimeFault
from society.dates import date_words

AT_ONCE = 2000
SAME_SHARE = 0.02


class Kind(StrEnum):
    SOWING = "sowing"
    OTHER = "other"
    SIGHTING = "sighting"


@dataclass(frozen=True, slots=True)
class Draft:
    """One thing that a line says; ``name`` is a crop's key, a name of its own, or a problem's key."""

    line: int
    kind: Kind
    ground: Ground
    name: str
    first: int
    last: int
    what: What | None = None
    begun_on: date | None = None
    ended_on: date | None = None
    stands: bool = False
    failed: bool = False
    variety: str = ""
    is_sure: bool = False
    note: str = ""
    lacks: TimeFault | None = None

    @property
    def key(self) -> tuple[Kind, int, str, int]:
        """Where to look for it on record: what it is, on which plot, when it was begun."""
        return self.kind, self.ground.plot.pk, self.name.casefold(), self.first

    @property
    def meaning(self) -> tuple[object, ...]:
        """Everything that it says, wherever it stands in the file."""
        return (
            *self.key, self.ground.box, self.ground.is_coarse, self.last, self.begun_on, self.ended_on,
            self.stands, self.failed, self.variety, self.is_sure, self.note,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class OnRecord:
    """One row of the record, as far as a draft is compared with it."""

    kind: Kind
    plot: int
    name: str
    family: str
    first: int
    last: int
    box: Box
    area_m2: float
    is_coarse: bool
    patch: int | None = None
    begun_on: date | None = None
    ended_on: date | None = None
    variety: str = ""
    failed: bool = False
    is_sure: bool = False
    is_plan: bool = False
    is_withdrawn: bool = False

    @property
    def key(self) -> tuple[Kind, int, str, int]:
        return self.kind, self.plot, self.name.casefold(), self.first

    def is_on(self, ground: Ground) -> bool:
        """Whether it lies on the very same ground."""
        return is_near(self.box, ground.box) and abs(self.area_m2 - ground.area_m2) <= SAME_SHARE * max(
            self.area_m2, ground.area_m2
        )


class Record:
    """The record of some plots, to be asked what of a draft it knows. Three queries."""

    def __init__(self, site: Site, plots: Iterable[Plot]) -> None:
        keys = [plot.pk for plot in plots]
        self.by_key: dict[tuple[Kind, int, str, int], list[OnRecord]] = defaultdict(list)
        self.by_plot: dict[int, list[OnRecord]] = defaultdict(list)
        boxes: dict[int, set[Box]] = defaultdict(set)
        for row in _rows(site, keys):
            self.by_key[row.key].append(row)
            boxes[row.plot].add(row.box)
            if row.kind is not Kind.SIGHTING and not row.is_withdrawn:
                self.by_plot[row.plot].append(row)
        self.boxes = {plot: frozenset(found) for plot, found in boxes.items()}

    def same(self, draft: Draft) -> list[OnRecord]:
        """What is on record of the same thing, begun in the same season on the same ground."""
        family = draft.what.family if draft.kind is Kind.OTHER and draft.what else ""
        return [
            row for row in self.by_key.get(draft.key, ()) if row.family == family and row.is_on(draft.ground)
        ]

    def beside(self, draft: Draft) -> Iterator[OnRecord]:
        """What else stood at the same time on ground whose box meets the draft's; both exactly known."""
        if draft.ground.is_coarse or draft.kind is Kind.SIGHTING:
            return
        for row in self.by_plot.get(draft.ground.plot.pk, ()):
            is_then = row.first <= draft.last and row.last >= draft.first and not is_apart(row, draft)
            is_there = not row.is_coarse and _meet(row.box, draft.ground.box)
            if is_then and is_there and row.key != draft.key:
                yield row


def is_apart(row: OnRecord, draft: Draft) -> bool:
    """Whether one was out of the ground before the other went in, as far as days are known."""
    return _before(row.ended_on, draft.begun_on) or _before(draft.ended_on, row.begun_on)


def differences(row: OnRecord, draft: Draft, *, current: int) -> list[str]:
    """What the draft says and the record does not; what the draft leaves open is no difference."""
    if row.is_withdrawn:
        return ["it was entered and withdrawn"]
    if row.is_plan:
        return ["it stands there as a plan; record it on the plot’s page"]
    said = []
    pairs = [("begun", row.begun_on, draft.begun_on), ("out of the ground", row.ended_on, draft.ended_on)]
    said += [
        f"{name} {date_words(theirs) if theirs else 'on no known day'} (the file says {date_words(ours)})"
        for name, theirs, ours in pairs
        if ours is not None and ours != theirs
    ]
    is_told = draft.last > draft.first and not draft.stands and row.last <= current
    if is_told and draft.last != row.last and (draft.ended_on is None or draft.ended_on != row.ended_on):
        said.append(f"to the season {row.last} (the file says {draft.last})")
    if draft.variety and draft.variety.casefold() != " ".join(row.variety.casefold().split()):
        said.append(f"variety {row.variety or 'not named'} (the file says {draft.variety})")
    if draft.failed and not row.failed:
        said.append("not as a failure")
    if draft.is_sure and not row.is_sure:
        said.append("as not sure")
    return said


def _before(end: date | None, begin: date | None) -> bool:
    return end is not None and begin is not None and end <= begin


def _meet(one: Box, other: Box) -> bool:
    return one[0] < other[2] and one[2] > other[0] and one[1] < other[3] and one[3] > other[1]


def _box(row: tuple[float, ...]) -> Box:
    min_x, min_y, max_x, max_y = (round(value, 2) for value in row)
    return min_x, min_y, max_x, max_y


def _rows(site: Site, plots: list[int]) -> Iterator[OnRecord]:
    for at in range(0, len(plots), AT_ONCE):
        some = plots[at : at + AT_ONCE]
        yield from _sowings(site, some)
        yield from _others(site, some)
        yield from _sightings(site, some)


def _sowings(site: Site, plots: list[int]) -> Iterator[OnRecord]:
    rows = Sowing.objects.filter(patch__site=site, patch__plot__in=plots).select_related("patch")
    for row in rows.order_by("pk").iterator(AT_ONCE):
        patch = row.patch
        yield OnRecord(
            Kind.SOWING, patch.plot_id, row.crop, "", row.season, row.last_season,
            _box((patch.min_x, patch.min_y, patch.max_x, patch.max_y)), patch.area_m2, patch.is_coarse,
            patch=patch.pk, begun_on=row.sown_on, ended_on=row.ended_on, variety=row.variety,
            failed=row.state == Sowing.State.CLEARED, is_plan=row.state == Sowing.State.PLANNED,
        )  # fmt: skip


def _others(site: Site, plots: list[int]) -> Iterator[OnRecord]:
    for row in OtherUse.objects.filter(site=site, plot__in=plots).order_by("pk").iterator(AT_ONCE):
        yield OnRecord(
            Kind.OTHER, row.plot_id, row.name, row.family, row.first_season, row.last_season,
            box_of(row.outline), row.area_m2, row.is_coarse, is_withdrawn=row.withdrawn_at is not None,
        )  # fmt: skip


def _sightings(site: Site, plots: list[int]) -> Iterator[OnRecord]:
    for row in Sighting.objects.filter(site=site, plot__in=plots).order_by("pk").iterator(AT_ONCE):
        yield OnRecord(
            Kind.SIGHTING, row.plot_id, row.problem, "", row.season, row.season,
            box_of(row.outline), row.area_m2, False, begun_on=row.seen_on, is_sure=row.is_sure,
            is_withdrawn=row.withdrawn_at is not None,
        )  # fmt: skip
