"""Seed for a patch, by hand."""

from dataclasses import replace

import pytest

from plots.crops import Crop, Fact
from plots.crops import crop as crop_of
from plots.seed import sand_words, seed_needed, seed_words


def without(crop: Crop, name: str) -> Crop:
    return replace(crop, facts={key: fact for key, fact in crop.facts.items() if key != name})


def with_numbers(crop: Crop, **numbers: float) -> Crop:
    facts = {name: Fact(name, value, "", crop.fact(name).basis, "") for name, value in numbers.items()}
    return replace(crop, facts={**crop.facts, **facts})


SEED = with_numbers(
    crop_of("carrot-early"), row_spacing_mm=300.0, seeds_per_metre=100.0, seeds_per_gram=800.0
)


def test_the_weight_of_seed_is_that_of_all_metres_of_row() -> None:
    need = seed_needed(SEED, length_m=5, width_m=1.2)
    # 1.2 m ÷ 0.3 m = 4 rows; 4 × 5 m = 20 m; 20 × 100 = 2000 seeds; 2000 ÷ 800 = 2.5 g.
    assert (need.rows, need.row_m, need.seeds, need.seed_g) == (4, 20.0, 2000, pytest.approx(2.5))


def test_a_patch_narrower_than_a_row_has_one_row() -> None:
    assert seed_needed(SEED, length_m=5, width_m=0.2).rows == 1


def test_sets_are_counted_and_not_weighed() -> None:
    sets = with_numbers(crop_of("onion-sets"), row_spacing_mm=250.0, seeds_per_metre=10.0)
    need = seed_needed(sets, length_m=3, width_m=1.0)
    assert (need.pieces, need.seed_g) == (120, None)  # 4 rows of 3 m at 10 a metre
    assert seed_words(sets, need) == "4 rows of 3 m: sets needed: 120"


@pytest.mark.parametrize("name", ["row_spacing_mm", "seeds_per_metre", "seeds_per_gram"])
def test_a_missing_fact_is_not_known_and_never_guessed(name: str) -> None:
    crop = without(SEED, name)
    need = seed_needed(crop, length_m=5, width_m=1.2)
    assert need.seed_g is None
    assert need.not_known == (name,)
    assert "not known" in seed_words(crop, need)


def test_fine_seed_is_mixed_with_sand_by_the_metre_of_row() -> None:
    assert "about 300 ml of dry sand" in sand_words(seed_needed(SEED, length_m=5, width_m=1.2))


def test_coarse_seed_needs_no_sand() -> None:
    coarse = with_numbers(SEED, seeds_per_gram=60.0)
    assert sand_words(seed_needed(coarse, length_m=5, width_m=1.2)) == ""
