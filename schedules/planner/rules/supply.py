"""What a sowing takes: seed, sets, packets, sand."""

from plots.crops import Crop
from schedules.agronomy.supply import FINE_SEEDS_PER_GRAM, SAND_ML_PER_ROW_M, Supply, supply_of
from schedules.planner.drafts import Ground
from schedules.planner.sources import PRACTICE, joined
from schedules.planner.types import Reason, Values

SHORT_LIVED_YEARS = 2


def seed_outlook(ground: Ground) -> list[Reason]:
    """Say what the sowing takes, where it is known how much ground it has and it is still to come."""
    if ground.request.area_m2 is None or ground.sowing.is_done:
        return []
    return supply_reasons(ground.crop, ground.request.area_m2)


def supply_reasons(crop: Crop, area_m2: float) -> list[Reason]:
    """Return what to have at hand for a crop on a piece of ground. ValueError for an area not above 0."""
    supply = supply_of(crop, area_m2)
    if supply.seeds is None:
        return [Reason("pieces_needed", _pieces(crop, supply), PRACTICE)]
    source = joined(*(crop.fact(each).source for each in _READ if crop.has(each)), PRACTICE)
    if supply.pieces is not None:
        return [Reason("plants_needed", _pieces(crop, supply) | _seed(crop, supply), source), *_age(crop)]
    return [Reason("seed_needed", _seed(crop, supply), source), *_sand(crop, supply), *_age(crop)]


_READ = ("seeds_per_metre", "seeds_per_gram", "germination_standard_pct", "field_factor_pct")


def _seed(crop: Crop, supply: Supply) -> dict[str, str | int | float | None]:
    return {
        "row_m": round(supply.row_m, 2),
        "places": supply.places,
        "seeds": supply.seeds,
        "seed_g": supply.seed_g,
        "packets": supply.packets,
        "packet_seeds": _figure(crop, "packet_seeds"),
        "germination_standard_pct": _figure(crop, "germination_standard_pct"),
        "field_factor_pct": _figure(crop, "field_factor_pct"),
    }


def _pieces(crop: Crop, supply: Supply) -> dict[str, str | int | float | None]:
    pieces = supply.pieces or 0
    return {
        "row_m": round(supply.row_m, 2),
        "places": supply.places,
        "pieces": pieces,
        "spare": pieces - supply.places,
        "grown_from": crop.grown_from,
    }


def _sand(crop: Crop, supply: Supply) -> list[Reason]:
    if supply.sand_ml is None:
        return []
    values: Values = {
        "sand_ml": supply.sand_ml,
        "sand_ml_per_row_m": SAND_ML_PER_ROW_M,
        "seeds_per_gram": crop.number("seeds_per_gram"),
        "fine_seeds_per_gram": FINE_SEEDS_PER_GRAM,
    }
    return [Reason("sand_for_fine_seed", values, PRACTICE)]


def _age(crop: Crop) -> list[Reason]:
    """Warn of old seed where it does not keep."""
    years = _figure(crop, "seed_keeps_years")
    if years is None or years > SHORT_LIVED_YEARS:
        return []
    values: Values = {"seed_keeps_years": years, "crop": crop.name_in_text}
    return [Reason("buy_fresh_seed", values, crop.fact("seed_keeps_years").source)]


def _figure(crop: Crop, name: str) -> float | None:
    return crop.number(name) if crop.has(name) else None
