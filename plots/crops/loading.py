"""Reading the crop files into crops, refusing any fault with its file, row and column."""

from itertools import pairwise
from pathlib import Path
from types import MappingProxyType
from typing import cast, get_args

from plots.crops.facts import Basis, Crop, Fact, FactValue, GerminationTable, GrownFrom
from plots.crops.germination import load_tables, source_text
from plots.crops.requirements import GAPS, GERMINATION, RANGES, SAME_LENGTH, TOGETHER, required
from plots.crops.rows import Row, read_unique
from plots.crops.schema import FACT_KINDS, FactKind

SOURCE_COLUMNS = ("id", "text")
CROP_COLUMNS = (
    "key",
    "name",
    "name_in_text",
    "botanical_name",
    "family",
    "grown_from",
    "germination_table",
)
GAP_COLUMNS = ("crop", "fact", "why")
FACT_COLUMNS = ("crop", "fact", "value", "unit", "basis", "source")

COMMON_PRACTICE = "common practice, no published source"
PREFIXES = {"from memory: ": Basis.MEMORY, "derived: ": Basis.DERIVED}
FLAGS = {"yes": True, "no": False}
STAGES, WHOLE_PCT = 4, 100

FactRows = dict[str, tuple[Fact, Row]]


def load_crops(folder: Path) -> tuple[Crop, ...]:
    """Read ``crops.csv`` and the files it leans on, in file order; raise CropDataFault at the first fault."""
    sources = {
        row.text("id"): row.text("text")
        for row in read_unique(folder / "sources.csv", SOURCE_COLUMNS, ("id",))
    }
    tables = load_tables(folder / "germination.csv", sources)
    rows = list(read_unique(folder / "crops.csv", CROP_COLUMNS, ("key",)))
    keys = {row.text("key") for row in rows}
    facts = _load_facts(folder / "facts.csv", keys, sources)
    gaps = _load_gaps(folder / "gaps.csv", facts)
    return tuple(_crop(row, facts[row.text("key")], gaps[row.text("key")], tables) for row in rows)


def _crop(row: Row, facts: FactRows, gaps: dict[str, str], tables: dict[str, GerminationTable]) -> Crop:
    grown_from = cast(GrownFrom, row.choice("grown_from", get_args(GrownFrom)))
    table_key = row.cells["germination_table"]
    if table_key and table_key not in tables:
        raise row.fault("germination_table", f"germination.csv has no table {table_key!r}")
    if grown_from == "seed" and not table_key and GERMINATION not in gaps:
        raise row.fault(
            "germination_table", "a crop grown from seed needs a germination table, or its gap in gaps.csv"
        )
    missing = sorted(required(grown_from) - facts.keys() - gaps.keys())
    if missing:
        raise row.fault(
            "key", f"neither facts.csv nor gaps.csv gives {', '.join(missing)} for {row.text('key')}"
        )
    _agree(facts)
    return Crop(
        key=row.text("key"),
        name=row.text("name"),
        botanical_name=row.text("botanical_name"),
        family=row.text("family"),
        grown_from=grown_from,
        facts=MappingProxyType({name: fact for name, (fact, _) in facts.items()}),
        germination=tables.get(table_key),
        name_in_text=row.text("name_in_text"),
        gaps=MappingProxyType(gaps),
    )


def _agree(facts: FactRows) -> None:
    """Refuse a range that runs backwards, and thinnings that do not pair up with their days."""
    for low, high in RANGES:
        if low in facts and high in facts:
            least, (most, row) = cast(float, facts[low][0].value), facts[high]
            if cast(float, most.value) < least:
                raise row.fault("value", f"{high} is {most.value}, below {low}, which is {least}")
    _leave_days_in_the_ground(facts)
    _stand_together(facts)
    spacings, days = SAME_LENGTH
    if spacings in facts and days in facts:
        stages, (after, row) = cast(tuple[float, ...], facts[spacings][0].value), facts[days]
        if len(cast(tuple[float, ...], after.value)) != len(stages):
            raise row.fault("value", f"{days} must have as many values as {spacings}: {len(stages)}")


def _leave_days_in_the_ground(facts: FactRows) -> None:
    """Refuse days counted from sowing that raising under cover uses up."""
    if "raising_days" not in facts or "days_to_maturity_min" not in facts:
        return
    (raising, row), (least, _) = facts["raising_days"], facts["days_to_maturity_min"]
    if facts["maturity_from"][0].value == "sowing" and cast(float, raising.value) >= cast(float, least.value):
        raise row.fault(
            "value", f"raising_days leaves nothing of days_to_maturity_min, which is {least.value}"
        )


def _stand_together(facts: FactRows) -> None:
    """Refuse a fact that calls for others which are not there."""
    for (name, value), others in TOGETHER.items():
        if name not in facts:
            continue
        fact, row = facts[name]
        called = fact.value is True if value is True else value in str(fact.value).split(";")
        missing = sorted(others - facts.keys()) if called else []
        if missing:
            raise row.fault("value", f"{name} needs {', '.join(missing)} beside it")


def _load_gaps(path: Path, facts: dict[str, FactRows]) -> dict[str, dict[str, str]]:
    """Read which figures are known to be missing, and why."""
    found: dict[str, dict[str, str]] = {key: {} for key in facts}
    for row in read_unique(path, GAP_COLUMNS, ("crop", "fact")):
        crop, fact = row.text("crop"), row.text("fact")
        if crop not in found:
            raise row.fault("crop", f"{crop!r} is not in crops.csv")
        if fact not in GAPS:
            raise row.fault("fact", f"{fact!r} is not a fact this project knows")
        if fact in facts[crop]:
            raise row.fault("fact", f"facts.csv gives {fact} for {crop}; take this line out")
        found[crop][fact] = row.text("why")
    return found


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
    source = source_text(row, sources)
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
    if kind.form == "shares":
        return _shares(row)
    if kind.form == "flag":
        return FLAGS[row.choice("value", tuple(FLAGS))]
    if kind.form == "codes":
        return _codes(row, kind.choices)
    return row.choice("value", kind.choices)


def _shares(row: Row) -> tuple[float, ...]:
    """Read the four stages of a crop as percentages of its time."""
    values = tuple(row.as_number("value", each) for each in row.text("value").split(";"))
    if len(values) != STAGES or min(values) < 0 or sum(values) != WHOLE_PCT:
        raise row.fault("value", f"give {STAGES} shares, none below 0, that add up to {WHOLE_PCT}")
    return values


def _codes(row: Row, choices: tuple[str, ...]) -> str:
    codes = row.text("value").split(";")
    unknown = [each for each in codes if each not in choices]
    if unknown:
        raise row.fault("value", f"{', '.join(unknown)} is not one of {', '.join(choices)}")
    if len(set(codes)) != len(codes):
        raise row.fault("value", "the same code stands there twice")
    return ";".join(codes)
