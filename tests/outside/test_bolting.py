"""Cold that makes carrots flower, against the abstract that measured it.

Atherton, J.G., Craigon, J. and Basher, E.A., Flowering and bolting in carrot I. Juvenility, cardinal
temperatures and thermal times for vernalization, Journal of Horticultural Science 65, 1990, pp. 423-429
(abstract read): rates rise in a straight line from -1 to 5 °C and fall in one from 7 to 16 °C; base -1.0,
best 6.5, ceiling 16.0 °C; the first plants flower from about 126 °C days, nine in ten from about 336;
juvenile until 8 to 12 leaves are there. Plants held for nine weeks or more at 3 to 12 °C flowered; those
held at 16 to 20 °C did not.
"""

import numpy as np
import pytest

from plots.crops import crop
from schedules.agronomy.bolting import vernal_rate_cd

NINE_WEEKS = 63
LIMITS_C = (-1.0, 6.5, 16.0)


def cold_cd(air_c: float, days: int) -> float:
    facts = [crop("carrot-early").number(f"vernal_{each}_c") for each in ("base", "best", "ceiling")]
    return float(vernal_rate_cd(np.full(days, air_c), *facts).sum())


@pytest.mark.parametrize("key", ["carrot-early", "carrot-maincrop"])
def test_the_facts_are_those_of_the_abstract(key):
    grown = crop(key)
    names = ("vernal_base_c", "vernal_best_c", "vernal_ceiling_c", "vernal_first_cd", "vernal_most_cd")
    assert tuple(grown.number(name) for name in names) == (*LIMITS_C, 126, 336)
    assert 8 <= grown.number("juvenile_leaves") <= 12


def test_days_at_the_best_temperature_until_the_first_may_flower():
    """126 °C days at 6.5 - (-1) = 7.5 °C days a day: 16.8 days, so the seventeenth; 336 takes 44.8."""
    assert cold_cd(6.5, 16) < 126 <= cold_cd(6.5, 17)
    assert cold_cd(6.5, 44) < 336 <= cold_cd(6.5, 45)


@pytest.mark.parametrize("air_c", [3.0, 12.0])
def test_nine_weeks_of_the_cold_that_flowered_pass_the_first_sum(air_c):
    assert cold_cd(air_c, NINE_WEEKS) >= 126


@pytest.mark.parametrize("air_c", [16.0, 18.0, 20.0])
def test_the_warmth_that_did_not_flower_counts_nothing(air_c):
    assert cold_cd(air_c, 365) == 0.0


def test_the_rate_is_straight_where_it_was_measured_to_be():
    for low, high in ((-1.0, 5.0), (7.0, 16.0)):
        steps = np.diff(vernal_rate_cd(np.linspace(low, high, 13), *LIMITS_C))
        assert np.allclose(steps, steps[0])
