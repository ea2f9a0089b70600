"""The facts a crop may have: their kind, their unit, and which of them a crop cannot do without."""

from typing import Literal, NamedTuple


class FactKind(NamedTuple):
    """What a fact's value looks like in the data file."""

    form: Literal["number", "series", "flag", "text"]
    unit: str = ""
    choices: tuple[str, ...] = ()


_FLAG = FactKind("flag")
_MM = FactKind("number", "mm")
_C = FactKind("number", "C")
_DAYS = FactKind("number", "days")
_DAYS_SERIES = FactKind("series", "days")
_WEEKS = FactKind("number", "weeks")
_PCT = FactKind("number", "pct")

FACT_KINDS: dict[str, FactKind] = {
    "is_root": _FLAG,
    "crop_type": FactKind("text", choices=("early", "maincrop", "single")),
    "sow_depth_mm": _MM,
    "row_spacing_mm": _MM,
    "in_row_spacing_mm": _MM,
    "thin_spacings_mm": FactKind("series", "mm"),
    "thin_after_days": _DAYS_SERIES,
    "weed_after_days": _DAYS_SERIES,
    "min_soil_c": _C,
    "optimum_soil_c": _C,
    "practical_sow_soil_c": _C,
    "base_c": _C,
    "optimum_c": _C,
    "days_to_maturity_min": _DAYS,
    "days_to_maturity_max": _DAYS,
    "maturity_from": FactKind("text", choices=("sowing", "planting")),
    "resow_min_days": _DAYS,
    "resow_max_days": _DAYS,
    "seeds_per_gram": FactKind("number", "1/g"),
    "seeds_per_metre": FactKind("number", "1/m"),
    "germination_standard_pct": _PCT,
    "frost_class": FactKind("text", choices=("tender", "half-hardy", "hardy", "very hardy")),
    "stands_over_winter": FactKind("text", choices=("yes", "no", "with cover")),
    "storable": _FLAG,
    "storage_c": _C,
    "storage_rh_min_pct": _PCT,
    "storage_rh_max_pct": _PCT,
    "storage_min_weeks": _WEEKS,
    "storage_max_weeks": _WEEKS,
    "flight": FactKind("text", choices=("carrot-fly",)),
    "cover_seedlings": _FLAG,
    "check_necks": _FLAG,
    "cautions": FactKind("text"),
}

CAUTIONS = ("green-potatoes", "knife", "lifting", "netting", "sap")

OPTIONAL = frozenset({"resow_min_days", "resow_max_days", "flight"})
SEED_ONLY = frozenset(
    {"thin_spacings_mm", "thin_after_days", "optimum_soil_c", "seeds_per_gram", "germination_standard_pct"}
)

RANGES = (
    ("days_to_maturity_min", "days_to_maturity_max"),
    ("min_soil_c", "practical_sow_soil_c"),
    ("base_c", "optimum_c"),
    ("resow_min_days", "resow_max_days"),
    ("storage_rh_min_pct", "storage_rh_max_pct"),
    ("storage_min_weeks", "storage_max_weeks"),
)
SAME_LENGTH = ("thin_spacings_mm", "thin_after_days")


def required(grown_from: str) -> frozenset[str]:
    """Return the facts a crop grown this way must have."""
    needed = frozenset(FACT_KINDS) - OPTIONAL
    return needed if grown_from == "seed" else needed - SEED_ONLY
