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

PARTS = (
    "roots",
    "tubers",
    "bulbs",
    "stems",
    "stalks",
    "spears",
    "sprouts",
    "leaves",
    "heads",
    "pods",
    "fruits",
    "berries",
    "cobs",
)

INSECTS = frozenset({"carrot-fly", "cabbage-root-fly", "onion-fly", "bean-seed-fly"})

FACT_KINDS: dict[str, FactKind] = {
    "is_root": _FLAG,
    "crop_type": FactKind("text", choices=("early", "second early", "maincrop", "single", "perennial")),
    "sow_depth_mm": _MM,
    "row_spacing_mm": _MM,
    "in_row_spacing_mm": _MM,
    "thin_spacings_mm": FactKind("series", "mm"),
    "thin_after_days": _DAYS_SERIES,
    "weed_after_days": _DAYS_SERIES,
    "min_soil_c": _C,
    "optimum_soil_c": _C,
    "practical_sow_soil_c": _C,
    "plant_out_soil_c": _C,
    "opens": FactKind("text", choices=("as it warms", "after midsummer", "as it cools")),
    "emergence_base_c": _C,
    "emergence_sum_cd": FactKind("number", "C day"),
    "germination_stand_in": _FLAG,
    "raising_days": _DAYS,
    "establish_days": _DAYS,
    "base_c": _C,
    "optimum_c": _C,
    "reference_c": _C,
    "days_counted": FactKind("text", choices=("warmth", "calendar")),
    "first_gather_year": FactKind("number", "year"),
    "days_to_maturity_min": _DAYS,
    "days_to_maturity_max": _DAYS,
    "maturity_from": FactKind("text", choices=("sowing", "planting")),
    "resow_min_days": _DAYS,
    "resow_max_days": _DAYS,
    "seeds_per_gram": FactKind("number", "1/g"),
    "seeds_per_metre": FactKind("number", "1/m"),
    "germination_standard_pct": _PCT,
    "frost_class": FactKind("text", choices=("tender", "half-hardy", "hardy", "very hardy")),
    "stands_over_winter": FactKind("text", choices=("yes", "no", "some sorts", "with cover")),
    "storable": _FLAG,
    "storage_c": _C,
    "storage_rh_min_pct": _PCT,
    "storage_rh_max_pct": _PCT,
    "storage_min_weeks": _WEEKS,
    "storage_max_weeks": _WEEKS,
    "flight": FactKind("text", choices=("carrot-fly",)),
    "cover_seedlings": _FLAG,
    "check_necks": _FLAG,
    "feel_necks": _FLAG,
    "gather": FactKind("text", choices=("lift", "pull", "cut", "pick")),
    "harvested_part": FactKind("text", choices=PARTS),
    "store_way": FactKind("text", choices=("sand", "dry", "dark", "cool", "warm")),
    "cautions": FactKind("text"),
}

CAUTIONS = ("green-potatoes", "knife", "leaf-blades", "lifting", "netting", "raw-beans", "sap")

OPTIONAL = frozenset(
    {
        "cautions",
        "days_counted",
        "emergence_base_c",
        "emergence_sum_cd",
        "establish_days",
        "first_gather_year",
        "flight",
        "germination_stand_in",
        "opens",
        "plant_out_soil_c",
        "raising_days",
        "reference_c",
        "resow_max_days",
        "resow_min_days",
        "store_way",
    }
)
THINNING = frozenset({"thin_spacings_mm", "thin_after_days"})
OF_SEED = frozenset({"optimum_soil_c", "seeds_per_gram", "germination_standard_pct"})

# What each way of planting does without; all others are neither sown nor thinned.
DOES_WITHOUT: dict[str, frozenset[str]] = {"seed": frozenset(), "transplant": THINNING}
ALSO_NEEDS: dict[str, frozenset[str]] = {"transplant": frozenset({"raising_days"})}

# Shares its name with the germination table of crops.csv, so that its absence can be stated too.
GERMINATION = "germination"
GAPS = frozenset(FACT_KINDS) | {GERMINATION}

RANGES = (
    ("days_to_maturity_min", "days_to_maturity_max"),
    ("min_soil_c", "practical_sow_soil_c"),
    ("base_c", "optimum_c"),
    ("resow_min_days", "resow_max_days"),
    ("storage_rh_min_pct", "storage_rh_max_pct"),
    ("storage_min_weeks", "storage_max_weeks"),
    ("base_c", "reference_c"),
)
SAME_LENGTH = ("thin_spacings_mm", "thin_after_days")


def required(grown_from: str) -> frozenset[str]:
    """Return the facts a crop grown this way must have, or state the absence of."""
    needed = frozenset(FACT_KINDS) - OPTIONAL - DOES_WITHOUT.get(grown_from, THINNING | OF_SEED)
    return needed | ALSO_NEEDS.get(grown_from, frozenset())
