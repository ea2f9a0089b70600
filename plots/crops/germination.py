"""Reading germination tables, and the source texts that every data file points to."""

from itertools import groupby, pairwise
from pathlib import Path

from plots.crops.facts import GerminationTable
from plots.crops.rows import Row, read_unique

GERMINATION_COLUMNS = (
    "table",
    "soil_c",
    "days",
    "days_status",
    "seedlings_pct",
    "sowing_depth_mm",
    "source",
)
STATUSES = ("measured", "no_germination", "not_tested")


def source_text(row: Row, sources: dict[str, str]) -> str:
    """Return the text of the source that a row names by its id."""
    try:
        return sources[row.text("source")]
    except KeyError:
        raise row.fault("source", f"sources.csv has no id {row.text('source')!r}") from None


def load_tables(path: Path, sources: dict[str, str]) -> dict[str, GerminationTable]:
    """Read the tables by key; the rows of one must stand together, coldest first."""
    rows = read_unique(path, GERMINATION_COLUMNS, ("table", "soil_c"))
    by_table = groupby(rows, key=lambda row: row.text("table"))
    tables: dict[str, GerminationTable] = {}
    for key, group in by_table:
        points = list(group)
        if key in tables:
            raise points[0].fault("table", f"the rows of {key} must stand together")
        tables[key] = _table(key, points, sources)
    return tables


def _table(key: str, points: list[Row], sources: dict[str, str]) -> GerminationTable:
    for colder, warmer in pairwise(points):
        if warmer.number("soil_c") <= colder.number("soil_c"):
            raise warmer.fault("soil_c", "temperatures of a table must rise from row to row")
    days = tuple(_days(row) for row in points)
    if not any(days):
        raise points[0].fault("days", f"{key} has no measured temperature")
    return GerminationTable(
        key=key,
        soil_c=tuple(row.number("soil_c") for row in points),
        days=days,
        status=tuple(row.text("days_status") for row in points),
        seedlings_pct=tuple(row.number_or_none("seedlings_pct") for row in points),
        sowing_depth_mm=points[0].number("sowing_depth_mm"),
        source=source_text(points[0], sources),
    )


def _days(row: Row) -> float | None:
    days = row.number_or_none("days")
    measured = row.choice("days_status", STATUSES) == "measured"
    if measured and (days is None or days <= 0):
        raise row.fault("days", "a measured temperature needs its days, above 0")
    if not measured and days is not None:
        raise row.fault("days", f"days must be empty where the status is {row.text('days_status')}")
    return days
