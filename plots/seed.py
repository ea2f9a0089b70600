"""How much seed, or how many sets or tubers, a patch takes. Pure arithmetic on crop facts."""

import math
from dataclasses import dataclass

from plots.crops import Crop

MM_PER_M = 1000
PRACTICE = "common practice, no published source"
# Seed so fine that it falls in clumps from the fingers: carrot, parsnip and turnip have over 400 to the gram.
FINE_SEEDS_PER_GRAM = 400
SAND_ML_PER_ROW_M = 15


@dataclass(frozen=True, slots=True)
class SeedNeed:
    """What to have at hand for a patch. A figure is None where the crop's facts do not give it."""

    rows: int | None
    row_m: float | None
    seeds: int | None
    seed_g: float | None
    pieces: int | None
    sand_ml: float | None
    not_known: tuple[str, ...]


def seed_needed(crop: Crop, *, length_m: float, width_m: float) -> SeedNeed:
    """Rows run along the patch; each takes its spacing, and a patch narrower than one spacing has one row.

    Weight of seed [g] = metres of row × seeds a metre / seeds a gram. Sets and tubers are counted.
    """
    rows = row_m = count = seed_g = sand_ml = None
    if crop.has("row_spacing_mm"):
        spacing_m = crop.number("row_spacing_mm") / MM_PER_M
        rows = max(1, math.floor(width_m / spacing_m + 1e-6))
        row_m = rows * length_m
    if row_m is not None and crop.has("seeds_per_metre"):
        count = math.ceil(row_m * crop.number("seeds_per_metre") - 1e-6)
    is_seed = crop.grown_from == "seed"
    if is_seed and row_m is not None and crop.has("seeds_per_metre") and crop.has("seeds_per_gram"):
        seed_g = row_m * crop.number("seeds_per_metre") / crop.number("seeds_per_gram")
        if crop.number("seeds_per_gram") >= FINE_SEEDS_PER_GRAM:
            sand_ml = row_m * SAND_ML_PER_ROW_M
    asked = ["row_spacing_mm", "seeds_per_metre", *(["seeds_per_gram"] if is_seed else [])]
    return SeedNeed(
        rows=rows,
        row_m=row_m,
        seeds=count if is_seed else None,
        seed_g=seed_g,
        pieces=None if is_seed else count,
        sand_ml=sand_ml,
        not_known=tuple(name for name in asked if not crop.has(name)),
    )


def seed_words(crop: Crop, need: SeedNeed) -> str:
    """'4 rows of 5 m: about 2.42 g of seed (2000 seeds)'; says 'not known' instead of guessing."""
    if need.rows is None or need.row_m is None:
        return "Seed: not known, because the distance between rows is not known"
    rows = "1 row" if need.rows == 1 else f"{need.rows} rows"
    head = f"{rows} of {need.row_m / need.rows:.2f}".rstrip("0").rstrip(".") + " m"
    if crop.grown_from != "seed":
        amount = "not known" if need.pieces is None else str(need.pieces)
        return f"{head}: {crop.grown_from}s needed: {amount}"
    if need.seed_g is None:
        return f"{head}: weight of seed not known"
    return f"{head}: about {_grams(need.seed_g)} of seed ({need.seeds} seeds)"


def sand_words(need: SeedNeed) -> str:
    """Advice for fine seed; empty for any other."""
    if need.sand_ml is None:
        return ""
    return (
        f"The seed is fine: mix it with about {need.sand_ml:.0f} ml of dry sand "
        f"({SAND_ML_PER_ROW_M} ml for each metre of row) so that it falls evenly"
    )


def _grams(grams: float) -> str:
    return f"{grams:.1f} g" if grams >= 1 else f"{grams:.2f} g"
