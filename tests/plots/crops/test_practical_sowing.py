"""The derived sowing temperatures follow from the germination tables by the rule their source states."""

from itertools import pairwise

import pytest

from plots.crops import Basis, crop

WITHIN_DAYS = 28
NORMAL_PCT = 70
COLDEST_C = 5


def coldest_meeting(points, wanted):
    """Lowest temperature at which straight lines through ``points`` reach ``wanted``."""
    if points[0][1] >= wanted:
        return points[0][0]
    for (cold, below), (warm, above) in pairwise(points):
        if below < wanted <= above:
            return cold + (warm - cold) * (wanted - below) / (above - below)
    raise AssertionError(f"the table never reaches {wanted}")


# Base temperature [°C] and heat sum of emergence [°C day] where the trial began too warm to tell.
# From memory: Bierhuizen and Wagenvoort, Scientia Horticulturae 2, 1974, pp. 213-219.
SUMS = {
    "turnip": (1.4, 97),
    "cabbage-summer": (1.0, 106),
    "cabbage-winter": (1.0, 106),
    "brussels-sprouts": (1.1, 108),
    "cauliflower": (1.3, 112),
    "kale": (1.2, 103),
    "french-bean": (7.7, 130),
    "swede": (1.0, 106),
    "calabrese": (1.0, 106),
}
KEYS = [
    *("carrot-early", "parsnip", "beetroot-early", "radish"),
    *("onion-seed", "celery", "lettuce", "spinach", "pea", "tomato", "sweetcorn"),
]


@pytest.mark.parametrize("key", KEYS)
def test_the_practical_sowing_temperature_follows_from_the_table(key):
    grown, table = crop(key), crop(key).germination
    measured = [place for place, days in enumerate(table.days) if days is not None]
    speed = [(table.soil_c[place], 1 / table.days[place]) for place in measured]
    stand = [(table.soil_c[place], table.seedlings_pct[place]) for place in measured]
    warm_enough = max(coldest_meeting(speed, 1 / WITHIN_DAYS), coldest_meeting(stand, NORMAL_PCT), COLDEST_C)
    fact = grown.fact("practical_sow_soil_c")
    assert fact.value == round(warm_enough * 2) / 2
    assert fact.basis is Basis.DERIVED


@pytest.mark.parametrize("key", SUMS)
def test_where_the_trial_began_too_warm_the_heat_sum_tells(key):
    base_c, sum_cd = SUMS[key]
    fact = crop(key).fact("practical_sow_soil_c")
    assert fact.value == max(COLDEST_C, round((base_c + sum_cd / WITHIN_DAYS) * 2) / 2)
    assert fact.basis is Basis.DERIVED


def test_turnip_is_sown_colder_than_its_trial_would_have_it_and_says_so():
    """The two sources part: by the trial 70 % of seedlings want some 9 °C, by the heat sum 5 °C is enough."""
    table, fact = crop("turnip").germination, crop("turnip").fact("practical_sow_soil_c")
    by_trial = coldest_meeting(list(zip(*table.stand, strict=True)), NORMAL_PCT)
    print(f"turnip: {by_trial:.1f} °C by the trial, {fact.value} °C by the heat sum")
    assert by_trial > fact.value
    assert "14 of 100 normal seedlings at 5 °C" in fact.source


@pytest.mark.parametrize("key", SUMS)
def test_the_trial_was_no_colder_than_the_heat_sum_says(key):
    """The sum only takes over where every colder soil was untried, or gave next to nothing."""
    grown = crop(key)
    warm_enough = [
        soil_c
        for soil_c, days, share in zip(
            grown.germination.soil_c, grown.germination.days, grown.germination.seedlings_pct, strict=True
        )
        if days is not None and days <= WITHIN_DAYS and share is not None and share >= NORMAL_PCT
    ]
    assert not warm_enough or min(warm_enough) > grown.number("practical_sow_soil_c")
