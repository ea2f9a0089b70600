"""Reading the crop files into crops, refusing any fault with its file, row and column."""

from itertools import groupby, pairwise
from pathlib import Path
from types import MappingProxyType
from typing import cast, get_args

from plots.crops.facts import Basis, Crop, Fact, FactValue, GerminationTable, GrownFrom
from plots.crops.rows import Row, read_unique
from plots.crops.schema import CAUTIONS, FACT_KINDS, RANGES, SAME_LENGTH, FactKind, required

SOURCE_COLUMNS = ("id", "text")
CROP_COLUMNS = ("key", "name", "botanical_name", "family", "grown_from", "germination_table")
FACT_COLUMNS = ("crop", "fact", "value", "unit", "basis", "source")
GERMINATION_COLUMNS = (
    "table",
    "soil_c",
    "days",
    "days_status",
    "seedlings_pct",
    "sowing_depth_mm",
    "source",
)

COMMON_PRACTICE = "common practice, no published source"
PREFIXES = {"from memory: ": Basis.MEMORY, "derived: ": Basis.DERIVED}
STATUSES = ("measured", "no_germination", "not_tested")
FLAGS = {"yes": True, "no": False}

FactRows = dict[str, tuple[Fact, Row]]


def load_crops(folder: Path) -> tuple[Crop, ...]:
    """Read ``crops.csv`` and the files it leans on, in file order; raise CropDataFault at the first fault."""
    sources = {
        row.text("id"): row.text("text")
        for row in read_unique(folder / "sources.csv", SOURCE_COLUMNS, ("id",))
    }
    tables = _load_tables(folder / "germination.csv", sources)
    rows = list(read_unique(folder / "crops.csv", CROP_COLUMNS, ("key",)))
    facts = _load_facts(folder / "facts.csv", {row.text("key") for row in rows}, sources)
    return tuple(_crop(row, facts[row.text("key")], tables) for row in rows)


def _crop(row: Row, facts: FactRows, tables: dict[str, GerminationTable]) -> Crop:
    grown_from = cast(GrownFrom, row.choice("grown_from", get_args(GrownFrom)))
    table_key = row.cells["germination_table"]
    if table_key and table_key not in tables:
        raise row.fault("germination_table", f"germination.csv has no table {table_key!r}")
    if grown_from == "seed" and not table_key:
        raise row.fault("germination_table", "a crop grown from seed needs a germination table")
    missing = sorted(required(grown_from) - facts.keys())
    if missing:
        raise row.fault("key", f"facts.csv does not give {', '.join(missing)} for {row.text('key')}")
    _agree(facts)
    return Crop(
        key=row.text("key"),
        name=row.text("name"),
        botanical_name=row.text("botanical_name"),
        family=row.text("family"),
        grown_from=grown_from,
        facts=MappingProxyType({name: fact for name, (fact, _) in facts.items()}),
        germination=tables.get(table_key),
    )


def _agree(facts: FactRows) -> None:
    """Refuse a range that runs backwards, and thinnings that do not pair up with their days."""
    for low, high in RANGES:
        if low in facts and high in facts:
            least, (most, row) = cast(float, facts[low][0].value), facts[high]
            if cast(float, most.value) < least:
                raise row.fault("value", f"{high} is {most.value}, below {low}, which is {least}")
    spacings, days = SAME_LENGTH
    if spacings in facts and days in facts:
        stages, (after, row) = cast(tuple[float, ...], facts[spacings][0].value), facts[days]
        if len(cast(tuple[float, ...], after.value)) != len(stages):
            raise row.fault("value", f"{days} must have as many values as {spacings}: {len(stages)}")


def _load_facts(path: Path, crop_keys: set[str], sources: dict[str, str]) -> dict[str, FactRows]:
    found: dict[str, FactRows] = {key: {} for key in crop_keys}
    for row in read_unique(path, FACT_COLUMNS, ("crop", "fact")):
        if row.text("crop") not in found:
            raise row.fault("crop", f"{row.text('crop')!r} is not in crops.csv")
        found[row.text("crop")][row.text("fact")] = (_fact(row, sources), row)
    return found


def _fact(row: Row, sources: dict[str, str]) -> Fact:
    name = row.text("fact")
    if name not in FACT_KINDS:
        raise row.fault("fact", f"{name!r} is not a fact this project knows")
    kind = FACT_KINDS[name]
    if row.cells["unit"] != kind.unit:
        raise row.fault("unit", f"{name} is in {kind.unit!r}, not {row.cells['unit']!r}")
    basis = Basis(row.choice("basis", tuple(Basis)))
    source = _source(row, sources)
    if basis != _basis_told_by(source) and (basis, _basis_told_by(source)) != (Basis.PARTLY, Basis.READ):
        raise row.fault("basis", f"{basis} does not fit a source that reads {source!r}")
    return Fact(name, _value(row, kind), kind.unit, basis, source)


def _basis_told_by(source: str) -> Basis:
    """Return the basis a source's own words give away; nothing in the words tells read from partly read."""
    if source == COMMON_PRACTICE:
        return Basis.PRACTICE
    return next((basis for prefix, basis in PREFIXES.items() if source.startswith(prefix)), Basis.READ)


def _value(row: Row, kind: FactKind) -> FactValue:
    if kind.form == "number":
        return row.number("value")
    if kind.form == "series":
        values = tuple(row.as_number("value", each) for each in row.text("value").split(";"))
        if any(later <= earlier for earlier, later in pairwise(values)):
            raise row.fault("value", "each stage must be above the one before")
        return values
    if kind.form == "flag":
        return FLAGS[row.choice("value", tuple(FLAGS))]
    if kind.choices:
        return row.choice("value", kind.choices)
    return _cautions(row)


def _cautions(row: Row) -> str:
    codes = row.text("value").split(";")
    unknown = [each for each in codes if each not in CAUTIONS]
    if unknown:
        raise row.fault("value", f"{', '.join(unknown)} is not one of {', '.join(CAUTIONS)}")
    return ";".join(codes)


def _source(row: Row, sources: dict[str, str]) -> str:
    try:
        return sources[row.text("source")]
    except KeyError:
        raise row.fault("source", f"sources.csv has no id {row.text('source')!r}") from None


def _load_tables(path: Path, sources: dict[str, str]) -> dict[str, GerminationTable]:
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
        source=_source(points[0], sources),
    )


def _days(row: Row) -> float | None:
    days = row.number_or_none("days")
    measured = row.choice("days_status", STATUSES) == "measured"
    if measured and (days is None or days <= 0):
        raise row.fault("days", "a measured temperature needs its days, above 0")
    if not measured and days is not None:
        raise row.fault("days", f"days must be empty where the status is {row.text('days_status')}")
    return days
