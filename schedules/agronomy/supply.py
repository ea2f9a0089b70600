"""What a sowing takes: seed by number, weight and packet, sand to sow it with, or pieces to plant."""

import math
from dataclasses import dataclass

from plots.crops import Crop

MM_PER_M = 1000
# Seed so fine that it falls in clumps from the fingers; what is finer is commonly sown with sand.
FINE_SEEDS_PER_GRAM = 300
SAND_ML_PER_ROW_M = 15
SPARE_PCT = {"set": 10, "clove": 10, "tuber": 10, "transplant": 10, "runner": 10}
ROUNDING = 1e-6


@dataclass(frozen=True, slots=True)
class Supply:
    """What to have at hand.

    Parameters
    ----------
    row_m : float
        Length of all rows together. [m]
    places : int
        Plants that stand there at their final spacing.
    pieces : int or None
        Sets, tubers, cloves, crowns or young plants, spares included; None for what is sown in place.
    seeds : int or None
        Seeds to sow, in the rows or under cover; None where the crop is not raised from seed.
    seed_g : float or None
        Their weight. [g] None where nobody published how many go to the gram.
    packets : int or None
        Packets of the usual size that hold them.
    sand_ml : float or None
        Dry sand to mix fine seed with. [ml] None for coarse seed and for seed sown under cover.
    """

    row_m: float
    places: int
    pieces: int | None
    seeds: int | None
    seed_g: float | None
    packets: int | None
    sand_ml: float | None


def supply_of(crop: Crop, area_m2: float) -> Supply:
    """Work out what a piece of ground takes of a crop.

    Parameters
    ----------
    crop : Crop
        The crop; read are its spacings, seeds a metre, seeds a gram, germination standard, field factor, and
        packet.
    area_m2 : float
        Ground of the sowing, paths left out, above 0. [m²]

    Returns
    -------
    Supply

    Raises
    ------
    ValueError
        When ``area_m2`` is not a finite number above 0.

    Notes
    -----
    Metres of row are the area over the distance between rows. Seed sown in place is the greater of two: the
    sowing rate that is common for the crop, and the places over germination times field factor, the share of
    living seed that makes a plant in the field. Seed raised under cover is the second alone, for the plants
    and a tenth more. Planted pieces have a tenth to spare, but for crowns, offsets and root cuttings.

    References
    ----------
    .. [1] Germination: Federal Seed Act Regulations, 7 CFR 201.31, 1994, the least that may be sold; the seed
       on a packet is mostly better.
    .. [2] Field factors, sowing rates, packets, spares and sand: common practice, no published source.
    """
    if not (math.isfinite(area_m2) and area_m2 > 0):
        raise ValueError(f"area_m2 is {area_m2}; ground has an area above 0 m²")
    row_m = area_m2 / (crop.number("row_spacing_mm") / MM_PER_M)
    places = _whole(row_m * _plants_per_metre(crop))
    if crop.grown_from == "seed":
        return _sown(crop, row_m, places)
    pieces = _whole(places * (1 + SPARE_PCT.get(crop.grown_from, 0) / 100))
    if crop.grown_from != "transplant":
        return Supply(row_m, places, pieces, None, None, None, None)
    seeds = _whole(pieces / stand_share(crop))
    return Supply(row_m, places, pieces, seeds, _grams(crop, seeds), _packets(crop, seeds), None)


def stand_share(crop: Crop) -> float:
    """Return the share of seed that makes a plant, above 0 to 1: germination standard times field factor.

    Either is taken as 1 where it is not known, which only a sowing rate can make good.
    """
    return _share(crop, "germination_standard_pct") * _share(crop, "field_factor_pct")


def _sown(crop: Crop, row_m: float, places: int) -> Supply:
    seeds = _whole(max(row_m * crop.number("seeds_per_metre"), places / stand_share(crop)))
    is_fine = crop.has("seeds_per_gram") and crop.number("seeds_per_gram") >= FINE_SEEDS_PER_GRAM
    sand_ml = row_m * SAND_ML_PER_ROW_M if is_fine else None
    return Supply(row_m, places, None, seeds, _grams(crop, seeds), _packets(crop, seeds), sand_ml)


def _plants_per_metre(crop: Crop) -> float:
    return MM_PER_M / crop.number("in_row_spacing_mm")


def _share(crop: Crop, name: str) -> float:
    return crop.number(name) / 100 if crop.has(name) else 1.0


def _grams(crop: Crop, seeds: int) -> float | None:
    return seeds / crop.number("seeds_per_gram") if crop.has("seeds_per_gram") else None


def _packets(crop: Crop, seeds: int) -> int | None:
    return _whole(seeds / crop.number("packet_seeds")) if crop.has("packet_seeds") else None


def _whole(number: float) -> int:
    """Round up, but not for how a computer adds."""
    return math.ceil(number - ROUNDING)
