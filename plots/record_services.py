"""Taking a file of old records into the record of a site's ground: all of it in one transaction, or nothing.

What is on record already is left as it is, so that the same file adds nothing when it comes again; where the
file says otherwise, that is told and not written.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime

from plots.changes import local_day, note, site_held
from plots.ground_services import site_ground_check
from plots.models import Bed, Plot, Site
from plots.natural_order import natural_key
from plots.record_csv import RecordFile, RecordRow
from plots.record_drafts import Draft, Kind, OnRecord, Record, differences, is_apart
from plots.record_overlaps import Overlapping, overlapping
from plots.record_placing import Ground, PlaceFault, PlotBook, plot_named
from plots.record_times import TimeFault, Times, times_of
from plots.record_writing import drafts_write, record_since_write
from plots.selectors import season_of
from plots.tables import Fault, by_line, shown
from society.models import Account, Member


@dataclass(frozen=True, slots=True)
class Otherwise:
    """A line that says of something on record what the record does not."""

    draft: Draft
    says: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RecordImport:
    """What a file did or, when ``is_saved`` is false, would do.

    ``known`` counts what is on record already, ``twice`` what other lines of the file say as well. ``since``
    is, plot by plot, the season from which the record is to be taken as complete.
    """

    added: tuple[Draft, ...] = ()
    known: int = 0
    twice: int = 0
    otherwise: tuple[Otherwise, ...] = ()
    overlaps: tuple[Overlapping, ...] = ()
    since: Mapping[Plot, int] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    remarks: tuple[str, ...] = ()
    ignored: tuple[str, ...] = ()
    is_saved: bool = False

    @property
    def counts(self) -> Counter[Kind]:
        return Counter(draft.kind for draft in self.added)

    @property
    def coarse(self) -> int:
        return sum(draft.ground.is_coarse for draft in self.added)

    @property
    def placed_later(self) -> int:
        """How many lie on beds that were laid out after their time."""
        return sum(draft.ground.laid_out_later for draft in self.added)

    @property
    def standing(self) -> int:
        return sum(draft.stands for draft in self.added)

    @property
    def plots(self) -> list[Plot]:
        found = {draft.ground.plot.pk: draft.ground.plot for draft in self.added}
        return sorted(found.values(), key=lambda plot: natural_key(plot.number))


def record_import(
    *,
    site: Site,
    file: RecordFile,
    is_complete: bool = False,
    member: Member | None,
    account: Account | None,
    now: datetime,
    dry_run: bool = False,
) -> RecordImport:
    """Put on record what a file says and the record does not; with any fault nothing is saved.

    ``is_complete`` says that the file holds all that grew on its plots since its first season there. Sure
    sightings count as confirmed by ``member``; at a place known only roughly they stay unsure.
    """
    with site_held(site):
        found = _read_against(site, file, today=local_day(site, now), is_complete=is_complete)
        has_news = bool(found.added or found.since)
        if found.faults or dry_run or not has_news:
            return found
        drafts_write(site, found.added, member=member, now=now)
        record_since_write(found.since)
        _note(site, found, account, now)
        site_ground_check(site=site, now=now)
    return RecordImport(
        found.added, found.known, found.twice, found.otherwise, found.overlaps, found.since, (),
        found.remarks, found.ignored, is_saved=True,
    )  # fmt: skip


def _read_against(site: Site, file: RecordFile, *, today: date, is_complete: bool) -> RecordImport:
    faults = list(file.faults)
    books, record = _books(site, (*file.rows, *file.flawed))
    drafts = [draft for row in file.rows for draft in _drafts(row, site, books, today, faults)]
    for row in file.flawed:
        _look_for(row, site, books, faults)
    added, known, twice, otherwise = _sorted(drafts, record, current=season_of(site, today))
    faults += [
        Fault(each.line, each.lacks.column, "", each.lacks.reason, each.lacks.remedy)
        for each in added
        if each.lacks is not None
    ]
    return RecordImport(
        tuple(added),
        known,
        twice,
        tuple(otherwise),
        tuple(overlapping(added, record)),
        _since(drafts) if is_complete else {},
        by_line(faults),
        (*file.remarks, *_left_out(file.rows)),
        file.ignored,
    )


def _left_out(rows: Iterable[RecordRow]) -> list[str]:
    """What the record has no place for."""
    notes = sum(bool(row.note and row.what and row.what.crop_key and not row.problem) for row in rows)
    if not notes:
        return []
    said = "1 note beside a crop is" if notes == 1 else f"{notes} notes beside crops are"
    return [f"{said} not kept: the record has no place for them. Keep the file."]


def _books(site: Site, rows: Sequence[RecordRow]) -> tuple[dict[str, PlotBook], Record]:
    """Every plot of the site under its number, with beds and record of those that the file names."""
    every = list(Plot.objects.filter(site=site).select_related("site"))
    plots = {plot.number.casefold(): plot for plot in every} | {plot.number: plot for plot in every}
    bare = {number: PlotBook(plot, (), frozenset()) for number, plot in plots.items()}
    named = {row.where.plot for row in rows if row.where.plot}
    wanted = {book.plot.pk: book.plot for number in named if (book := plot_named(number, bare))}
    record = Record(site, wanted.values())
    beds: dict[int, list[Bed]] = {pk: [] for pk in wanted}
    for bed in Bed.objects.filter(plot__site=site).order_by("pk"):
        if bed.plot_id in beds:
            beds[bed.plot_id].append(bed)
    books = {
        number: PlotBook(plot, beds.get(plot.pk, ()), record.boxes.get(plot.pk, frozenset()))
        for number, plot in plots.items()
    }
    return books, record


def _look_for(
    row: RecordRow, site: Site, books: Mapping[str, PlotBook], faults: list[Fault]
) -> PlotBook | None:
    """The plot that a row names, if its place is there; what is wrong with either is added to the faults."""
    if not row.where.plot:
        return None
    book = plot_named(row.where.plot, books)
    if book is None:
        listed = ", ".join(sorted({each.plot.number for each in books.values()}, key=natural_key)[:30])
        remedy = f"Write one of: {listed}." if listed else "Lay the plots out first."
        reason = f"{site.name} has no plot of that number."
        faults.append(Fault(row.line, "plot", shown(row.where.plot), reason, remedy))
        return None
    try:
        book.place(row.where)
    except PlaceFault as fault:
        faults.append(Fault(row.line, "bed", shown(_value(row, "bed")), fault.reason, fault.remedy))
        return None
    return book


def _drafts(
    row: RecordRow, site: Site, books: Mapping[str, PlotBook], today: date, faults: list[Fault]
) -> Iterable[Draft]:
    """What a row says: a crop, a problem, or both; its faults are added to the others."""
    book = _look_for(row, site, books, faults)
    if book is None:
        return
    try:
        times = times_of(row, site, today=today)
        first_day, last_day = times.days(site)
        ground = book.ground(row.where, first_day=first_day, last_day=last_day)
    except (TimeFault, PlaceFault) as fault:
        value = _value(row, fault.column)
        faults.append(Fault(row.line, fault.column, shown(value), fault.reason, fault.remedy))
        return
    if row.what is not None:
        is_listed = bool(row.what.crop_key)
        yield Draft(
            row.line, Kind.SOWING if is_listed else Kind.OTHER, ground, row.what.crop_key or row.what.name,
            times.first, times.last, row.what, times.begun_on if is_listed else None,
            times.ended_on if is_listed else None, times.stands and is_listed, row.failed and is_listed,
            row.variety if is_listed else "", note="" if is_listed or row.problem else row.note,
            lacks=times.lacks,
        )  # fmt: skip
    if row.problem:
        yield _sighting(row, times, ground, site)


def _value(row: RecordRow, column: str) -> str:
    """What stands in the cell that is at fault, for the report."""
    begun, ended = row.begun, row.ended
    said = {
        "bed": f"{row.where.bed} {row.where.part}".strip(),
        "year": str(row.year or ""),
        "from": str(begun.day or begun.year or "") if begun else "",
        "to": ("now" if ended.stands else str(ended.day or ended.year or "")) if ended else "",
    }
    return said.get(column, "")


def _sighting(row: RecordRow, times: Times, ground: Ground, site: Site) -> Draft:
    """A problem counts from the last day known of its row; its day stays open where none is known."""
    day = times.ended_on or times.begun_on
    season = season_of(site, day) if day else times.first
    return Draft(
        row.line, Kind.SIGHTING, ground, row.problem, season, season, begun_on=day,
        is_sure=row.is_sure and not ground.is_coarse, note=row.note,
    )  # fmt: skip


def _sorted(
    drafts: Iterable[Draft], record: Record, *, current: int
) -> tuple[list[Draft], int, int, list[Otherwise]]:
    """What is new, how much is known, how much is said twice, and what is on record otherwise."""
    added: dict[tuple[object, ...], Draft] = {}
    known = twice = 0
    otherwise: list[Otherwise] = []
    for draft in drafts:
        same = record.same(draft)
        said = [differences(row, draft, current=current) for row in same]
        if any(not each for each in said):
            known += 1
        elif draft.meaning in added:
            twice += 1
        elif all(is_apart(row, draft) for row in same):
            added[draft.meaning] = draft
        else:
            otherwise.append(Otherwise(draft, tuple(_fewest(same, said))))
    return list(added.values()), known, twice, otherwise


def _fewest(same: Sequence[OnRecord], said: Sequence[list[str]]) -> list[str]:
    return min(said, key=len) if same else []


def _since(drafts: Iterable[Draft]) -> dict[Plot, int]:
    """The first season of each plot in the file, where the record is not taken as complete since earlier."""
    first: dict[Plot, int] = {}
    for draft in drafts:
        plot = draft.ground.plot
        first[plot] = min(first.get(plot, draft.first), draft.first)
    return {
        plot: season
        for plot, season in first.items()
        if plot.record_since is None or plot.record_since > season
    }


def _note(site: Site, found: RecordImport, account: Account | None, now: datetime) -> None:
    counts = found.counts
    note(
        site, "record.imported", account=account, now=now,
        sowings=counts[Kind.SOWING], other_uses=counts[Kind.OTHER], sightings=counts[Kind.SIGHTING],
        plots=len(found.plots), coarse=found.coarse,
        record_since={str(plot.pk): season for plot, season in found.since.items()},
    )  # fmt: skip
