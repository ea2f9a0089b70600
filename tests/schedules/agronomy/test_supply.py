"""Seed and pieces for a piece of ground, by hand."""

from dataclasses import replace

import pytest

from plots.crops import Crop, Fact, crop, crops
from schedules.agronomy.supply import stand_share, supply_of


def with_numbers(key: str, **numbers: float) -> Crop:
    found = crop(key)
    facts = {name: Fact(name, value, "", found.fact("is_root").basis, "") for name, value in numbers.items()}
    return replace(found, facts={**found.facts, **facts})


def without(found: Crop, *names: str) -> Crop:
    return replace(found, facts={name: fact for name, fact in found.facts.items() if name not in names})


CARROT = with_numbers(
    "carrot-early",
    row_spacing_mm=300.0,
    in_row_spacing_mm=50.0,
    seeds_per_metre=100.0,
    seeds_per_gram=800.0,
    germination_standard_pct=50.0,
    field_factor_pct=60.0,
    packet_seeds=500.0,
)


def test_seed_at_the_sowing_rate():
    supply = supply_of(CARROT, 6.0)
    # 6 m² ÷ 0.3 m = 20 m; 20 × 100 = 2000 seeds; 2000 ÷ 800 = 2.5 g; 2000 ÷ 500 = 4 packets; 20 × 15 ml.
    assert (supply.row_m, supply.places) == (pytest.approx(20), 400)
    assert (supply.seeds, supply.seed_g, supply.packets, supply.sand_ml) == (2000, 2.5, 4, pytest.approx(300))
    assert supply.pieces is None


def test_a_thin_sowing_rate_gives_way_to_what_the_places_want():
    supply = supply_of(
        replace(CARROT, facts={**CARROT.facts, **with_numbers("pea", seeds_per_metre=20.0).facts}), 6.0
    )
    assert supply.seeds is not None
    assert supply.seeds >= supply.places / stand_share(crop("pea")) - 1


def test_seed_for_its_places_alone():
    sparse = with_numbers("carrot-early", row_spacing_mm=300.0, in_row_spacing_mm=50.0, seeds_per_metre=1.0)
    share = 0.55 * 0.55
    assert stand_share(sparse) == pytest.approx(share)
    assert supply_of(sparse, 6.0).seeds == 1323  # 400 places ÷ 0.3025, rounded up


def test_young_plants_have_a_tenth_to_spare_and_seed_to_raise_them():
    kale = with_numbers(
        "kale",
        row_spacing_mm=500.0,
        in_row_spacing_mm=500.0,
        germination_standard_pct=75.0,
        field_factor_pct=80.0,
        seeds_per_gram=300.0,
        packet_seeds=50.0,
    )
    supply = supply_of(kale, 5.0)
    # 5 m² ÷ 0.5 m = 10 m; 20 places; 22 plants; 22 ÷ 0.6 = 36.7, so 37 seeds.
    assert (supply.places, supply.pieces, supply.seeds, supply.packets) == (20, 22, 37, 1)
    assert supply.sand_ml is None


def test_sets_are_counted_with_spares_and_crowns_without():
    sets = with_numbers("onion-sets", row_spacing_mm=250.0, in_row_spacing_mm=100.0)
    assert (supply_of(sets, 3.0).pieces, supply_of(sets, 3.0).seeds) == (132, None)  # 12 m, 120 places
    crowns = with_numbers("rhubarb", row_spacing_mm=1000.0, in_row_spacing_mm=1000.0)
    assert supply_of(crowns, 3.0).pieces == 3


def test_what_is_not_known_is_left_out_and_not_guessed():
    supply = supply_of(without(CARROT, "seeds_per_gram", "packet_seeds"), 6.0)
    assert (supply.seed_g, supply.packets, supply.sand_ml) == (None, None, None)
    assert supply.seeds == 2000


def test_coarse_seed_needs_no_sand():
    assert supply_of(with_numbers("carrot-early", seeds_per_gram=60.0), 6.0).sand_ml is None


@pytest.mark.parametrize("area_m2", [0.0, -1.0, float("nan"), float("inf")])
def test_an_area_that_is_none_is_refused(area_m2):
    with pytest.raises(ValueError, match="area_m2"):
        supply_of(CARROT, area_m2)


@pytest.mark.parametrize("grown", crops(), ids=lambda each: each.key)
def test_more_ground_never_takes_less_of_any_crop(grown):
    small, large = supply_of(grown, 2.0), supply_of(grown, 4.0)
    assert large.row_m == pytest.approx(2 * small.row_m)
    assert large.places >= small.places > 0
    assert (small.seeds or small.pieces) > 0
    assert (large.seeds or 0) >= (small.seeds or 0)
    assert (large.pieces or 0) >= (small.pieces or 0)
