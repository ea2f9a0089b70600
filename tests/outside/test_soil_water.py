"""The accounts of water against worked examples, published ranges and an independent library.

Example 36 and equations: Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998; its rows
for onion and maize and the ranges of table 19 are from memory. Dry spells: pyfao56 1.4.3 (USDA-ARS), run
apart; it takes Kr and Ks from before the day's rain, so that only rainless days are compared.
"""

import numpy as np
import pytest

from schedules.agronomy.seedbed_water import surface_depletion_mm
from schedules.agronomy.soil_water import (
    available_water_mm,
    depletion_fraction,
    root_zone,
    stress_coefficient,
)
from schedules.agronomy.soils import SOILS

# Field capacity, wilting point; then TAW and RAW of tomato, onion and maize. [mm]
EXAMPLE_36 = {
    "loamy sand": (0.15, 0.06, (72, 29), (36, 11), (108, 59)),
    "silt": (0.32, 0.15, (136, 54), (68, 20), (204, 112)),
    "silty clay": (0.35, 0.23, (96, 38), (48, 14), (144, 79)),
}
CROPS_36 = ((0.8, 0.40), (0.4, 0.30), (1.2, 0.55))
# TEW and available water, least and most.
TABLE_19 = {
    "sand": (9, 14, 60, 120),
    "loam": (16, 22, 130, 180),
    "silt": (22, 26, 160, 200),
    "clay": (22, 29, 120, 200),
}
# Loam, field capacity 0.25, wilting point 0.12, REW 9: a soaking, then 4 mm a day of ET0.
BARE_MM = [4.8, 9.6, 14.112, 16.4583, 17.6783, 18.3127, 18.6426, 18.8142, 18.9034, 18.9497]
# TAW 72 mm, p 0.40, Kc 1.05, 6 mm a day of ET0, from full, with the surface dry.
ROOTS_MM = [6.3, 12.6, 18.9, 25.2, 31.4807, 36.9185, 41.6265, 45.7027, 49.2319, 52.2874, 54.9329, 57.2233]


@pytest.mark.parametrize("soil", EXAMPLE_36)
def test_example_36_gives_its_available_water(soil):
    capacity, wilting, *answers = EXAMPLE_36[soil]
    for (depth_m, fraction), (total, readily) in zip(CROPS_36, answers, strict=True):
        available = float(available_water_mm(capacity, wilting, depth_m))
        assert round(available) == total
        assert round(float(depletion_fraction(fraction, 5.0)) * available) == readily


def test_the_stress_equation_gives_half_at_its_half_way():
    """Equation 84 by hand: (100 - 67.5) / (0.65 x 100) is 0.5."""
    assert float(stress_coefficient(67.5, 100.0, 0.35)) == pytest.approx(0.5)
    assert stress_coefficient([35.0, 100.0], 100.0, 0.35).tolist() == [1.0, 0.0]


def test_the_share_taken_without_harm_follows_the_footnote():
    """p + 0.04 (5 - ETc) within 0.1 and 0.8, table 22's footnote, by hand."""
    assert depletion_fraction(0.35, [5.0, 3.0, 20.0]).tolist() == pytest.approx([0.35, 0.43, 0.1])
    assert float(depletion_fraction(0.7, 0.0)) == 0.8


@pytest.mark.parametrize("kind", TABLE_19)
def test_each_soil_lies_within_its_published_ranges(kind):
    soil, (least, most, driest, wettest) = SOILS[kind], TABLE_19[kind]
    assert least <= soil.evaporable_mm <= most
    assert driest <= soil.available_mm_per_m <= wettest


def test_a_library_dries_bare_ground_the_same_way():
    dry = np.zeros(len(BARE_MM))
    assert surface_depletion_mm(dry, np.full(dry.size, 4.0), "loam") == pytest.approx(BARE_MM, abs=1e-3)


def test_a_library_dries_a_root_zone_the_same_way():
    dry = np.zeros(len(ROOTS_MM))
    zone = root_zone(dry, np.full(dry.size, 6.0), 1.05, 0.8, depletion_p=0.4, soil="sand")
    assert zone.available_mm.tolist() == pytest.approx([72.0] * dry.size)
    assert zone.readily_mm.tolist() == pytest.approx([25.056] * dry.size)
    assert zone.depletion_mm == pytest.approx(ROOTS_MM, abs=1e-3)
