"""The facts a crop may have: what each looks like and its unit."""

from typing import Literal, NamedTuple


class FactKind(NamedTuple):
    """What a fact's value looks like in the data file."""

    form: Literal["number", "series", "shares", "flag", "text", "codes"]
    unit: str = ""
    choices: tuple[str, ...] = ()


_FLAG = FactKind("flag")
_MM = FactKind("number", "mm")
_C = FactKind("number", "C")
_DAYS = FactKind("number", "days")
_DAYS_SERIES = FactKind("series", "days")
_WEEKS = FactKind("number", "weeks")
_PCT = FactKind("number", "pct")
_PLAIN = FactKind("number")
_HEAT = FactKind("number", "C day")

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
BOLTING = ("cold-after-planting", "cold-seedling", "heat-and-drought", "long-days", "vernalised")
CAUTIONS = ("green-potatoes", "knife", "leaf-blades", "lifting", "netting", "raw-beans", "sap")

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
    "emergence_sum_cd": _HEAT,
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
    "flight": FactKind("codes", choices=tuple(sorted(INSECTS))),
    "cover_seedlings": _FLAG,
    "check_necks": _FLAG,
    "feel_necks": _FLAG,
    "gather": FactKind("text", choices=("lift", "pull", "cut", "pick")),
    "harvested_part": FactKind("text", choices=PARTS),
    "store_way": FactKind("text", choices=("sand", "dry", "dark", "cool", "warm")),
    "cautions": FactKind("codes", choices=CAUTIONS),
    "kc_ini": _PLAIN,
    "kc_mid": _PLAIN,
    "kc_end": _PLAIN,
    "root_depth_m": FactKind("number", "m"),
    "depletion_p": _PLAIN,
    "stage_shares": FactKind("shares", "pct"),
    "waits_for_frost": _FLAG,
    "sweetened_by_frost": _FLAG,
    "killed_young_at_c": _C,
    "killed_at_c": _C,
    "overwinters_young": _FLAG,
    "autumn_soil_c": _C,
    "comes_again": _FLAG,
    "earth_up_after_days": _DAYS_SERIES,
    "max_soil_c": _C,
    "heat_limit_c": _C,
    "hottest_month_c": _C,
    "eu_standard_pct": _PCT,
    "field_factor_pct": _PCT,
    "packet_seeds": FactKind("number", "seeds"),
    "seed_keeps_years": FactKind("number", "years"),
    "bolting": FactKind("codes", choices=BOLTING),
    "bolt_cold_c": _C,
    "bolt_cold_of": FactKind("text", choices=("mean", "maximum")),
    "bolt_cold_after_days": _DAYS,
    "bolt_cold_days": _DAYS,
    "bolt_cold_within_days": _DAYS,
    "bolt_heat_c": _C,
    "bolt_heat_days": _DAYS,
    "bolt_day_hours": FactKind("number", "hours"),
    "bolt_lag_days": _DAYS,
    "juvenile_leaves": FactKind("number", "leaves"),
    "leaf_sum_cd": _HEAT,
    "vernal_base_c": _C,
    "vernal_best_c": _C,
    "vernal_ceiling_c": _C,
    "vernal_first_cd": _HEAT,
    "vernal_most_cd": _HEAT,
}
