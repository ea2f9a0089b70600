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


KEYS = [
    *("carrot-early", "parsnip", "beetroot-early", "turnip", "radish"),
    *("onion-seed", "celery", "lettuce", "spinach", "pea", "tomato", "sweetcorn", "cabbage-summer"),
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
