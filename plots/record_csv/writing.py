"""Writing records in the form that is read back."""

import csv
import io
from collections.abc import Iterable

from plots.record_csv.cells import escaped
from plots.record_csv.rows import Moment, RecordRow
from plots.rotation import problems

COLUMNS = (
    "year", "plot", "bed", "part", "from", "to", "crop", "family", "variety", "failed", "problem", "sure",
    "note", "corners", "length_m", "width_m", "along_m", "across_m",
)  # fmt: skip


def write_record(rows: Iterable[RecordRow]) -> str:
    """A CSV text with commas; what a spreadsheet would run as a formula has an apostrophe before it."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in rows:
        cells = [escaped(" ".join(cell.split())) for cell in _cells(row)]
        writer.writerow(cells)
    return out.getvalue()


def _cells(row: RecordRow) -> list[str]:
    where = row.where
    return [
        "" if row.year is None else str(row.year),
        where.plot, where.bed, where.part, _moment(row.begun), _moment(row.ended), _what(row), _family(row),
        row.variety, "yes" if row.failed else "",
        problems()[row.problem].name if row.problem else "",
        "yes" if row.problem and row.is_sure else "",
        row.note,
        "; ".join(f"{east:.10g} {north:.10g}" for east, north in _rounded(row)),
        *(_length(getattr(where, f"{key}_m")) for key in ("length", "width", "along", "across")),
    ]  # fmt: skip


def _moment(moment: Moment | None) -> str:
    if moment is None:
        return ""
    if moment.stands:
        return "now"
    return moment.day.isoformat() if moment.day else str(moment.year or "")


def _what(row: RecordRow) -> str:
    return "" if row.what is None else row.what.name


def _family(row: RecordRow) -> str:
    """Only what is kept by it needs it; a crop of the list has its own."""
    return "" if row.what is None or row.what.crop_key else row.what.family


def _rounded(row: RecordRow) -> Iterable[tuple[float, float]]:
    return ((round(east, 4), round(north, 4)) for east, north in row.where.corners)


def _length(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"
