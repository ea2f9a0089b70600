"""Which facts a crop cannot do without, and how its facts must agree with each other."""

from plots.crops.schema import FACT_KINDS

COLD = frozenset({"bolt_cold_c", "bolt_cold_of", "bolt_cold_days", "bolt_cold_within_days"})
HEAT = frozenset({"bolt_heat_c", "bolt_heat_days"})
LONG_DAYS = frozenset({"bolt_day_hours"})
VERNAL = frozenset(
    {
        "vernal_base_c",
        "vernal_best_c",
        "vernal_ceiling_c",
        "vernal_first_cd",
        "vernal_most_cd",
        "juvenile_leaves",
        "leaf_sum_cd",
        "bolt_lag_days",
    }
)
OPTIONAL = frozenset(
    {
        "autumn_soil_c",
        "bolt_cold_after_days",
        "bolting",
        "cautions",
        "comes_again",
        "days_counted",
        "earth_up_after_days",
        "emergence_base_c",
        "emergence_sum_cd",
        "establish_days",
        "first_gather_year",
        "flight",
        "germination_stand_in",
        "heat_limit_c",
        "hottest_month_c",
        "max_soil_c",
        "opens",
        "plant_out_soil_c",
        "raising_days",
        "reference_c",
        "resow_max_days",
        "resow_min_days",
        "store_way",
        *(COLD | HEAT | LONG_DAYS | VERNAL),
    }
)
THINNING = frozenset({"thin_spacings_mm", "thin_after_days"})
OF_SEED = frozenset(
    {
        "optimum_soil_c",
        "seeds_per_gram",
        "germination_standard_pct",
        "eu_standard_pct",
        "field_factor_pct",
        "packet_seeds",
        "seed_keeps_years",
    }
)

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
    ("base_c", "hottest_month_c"),
    ("resow_min_days", "resow_max_days"),
    ("storage_rh_min_pct", "storage_rh_max_pct"),
    ("storage_min_weeks", "storage_max_weeks"),
    ("base_c", "reference_c"),
    ("killed_at_c", "killed_young_at_c"),
    ("heat_limit_c", "max_soil_c"),
    ("bolt_cold_days", "bolt_cold_within_days"),
    ("vernal_base_c", "vernal_best_c"),
    ("vernal_best_c", "vernal_ceiling_c"),
    ("vernal_first_cd", "vernal_most_cd"),
)
# What a value calls for: a flag that is set, or a code among several.
TOGETHER: dict[tuple[str, bool | str], frozenset[str]] = {
    ("overwinters_young", True): frozenset({"autumn_soil_c"}),
    ("bolting", "cold-after-planting"): COLD,
    ("bolting", "cold-seedling"): COLD,
    ("bolting", "heat-and-drought"): HEAT,
    ("bolting", "long-days"): LONG_DAYS,
    ("bolting", "vernalised"): VERNAL,
}
SAME_LENGTH = ("thin_spacings_mm", "thin_after_days")


def required(grown_from: str) -> frozenset[str]:
    """Return the facts a crop grown this way must have, or state the absence of."""
    needed = frozenset(FACT_KINDS) - OPTIONAL - DOES_WITHOUT.get(grown_from, THINNING | OF_SEED)
    return needed | ALSO_NEEDS.get(grown_from, frozenset())
