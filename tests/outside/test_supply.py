"""Seed for a row against what an allotment guide of 1945 tells growers to buy.

Ministry of Agriculture, Allotment and Garden Guide, January 1945, on vegetable seeds (read in a public
copy): half an ounce of turnip, swede or carrot sows 100 feet; an ounce of beet 90 feet; an ounce of onion
150 feet, and further if sown very thinly; 2 lb of shallots, 25 to the pound, a row of 30 feet.

The guide's rates are for sowing by hand and thinning hard: for carrot some 380 seeds to the metre. Ours are
for sowing thinly, as growers do now, so that ours come to less: a quarter for carrot, turnip and swede, a
third for onion, four fifths for beet. What can be held to is that we never ask a grower to buy more than
the guide does, and that the crops whose seed is set out singly agree.
"""

import pytest

from plots.crops import crop
from schedules.agronomy.supply import supply_of

FOOT_M, OUNCE_G = 0.3048, 28.349523
PRINTED = {
    "carrot-early": (OUNCE_G / 2, 100 * FOOT_M),
    "carrot-maincrop": (OUNCE_G / 2, 100 * FOOT_M),
    "turnip": (OUNCE_G / 2, 100 * FOOT_M),
    "swede": (OUNCE_G / 2, 100 * FOOT_M),
    "beetroot-early": (OUNCE_G, 90 * FOOT_M),
    "beetroot-maincrop": (OUNCE_G, 90 * FOOT_M),
    "onion-seed": (OUNCE_G, 150 * FOOT_M),
}
SHALLOTS, SHALLOT_ROW_M = 50, 30 * FOOT_M


def supply_for_row(key, row_m):
    return supply_of(crop(key), row_m * crop(key).number("row_spacing_mm") / 1000)


@pytest.mark.parametrize("key", PRINTED)
def test_thin_sowing_never_takes_more_seed_than_the_guide(key):
    printed_g, row_m = PRINTED[key]
    found_g = supply_for_row(key, row_m).seed_g
    share = found_g / printed_g
    print(f"{key}: {found_g:.1f} g for {row_m:.1f} m, {share:.2f} of the guide's {printed_g:.1f} g")
    assert 0 < found_g <= printed_g


@pytest.mark.parametrize("key", ["beetroot-early", "beetroot-maincrop"])
def test_beet_which_is_set_out_by_the_cluster_agrees(key):
    printed_g, row_m = PRINTED[key]
    assert supply_for_row(key, row_m).seed_g == pytest.approx(printed_g, rel=0.25)


def test_shallots_for_a_row_agree_before_the_spares():
    assert supply_for_row("shallot", SHALLOT_ROW_M).places == pytest.approx(SHALLOTS, rel=0.25)
