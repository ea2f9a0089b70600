"""Days to emergence as printed, against the sums of daily rates.

Source: Harrington, J.F. and Minges, P.A., Vegetable Seed Germination, California Agricultural Extension
Service, 1954; the days are reprinted in Knott's Handbook for Vegetable Growers (Maynard and Hochmuth, 1997).
"""

import numpy as np
import pytest

from plots.crops import crop
from schedules.agronomy.emergence import emergence_index, emergence_rate

CARROT = {5: 51, 10: 17, 15: 10, 20: 7, 25: 6, 30: 6, 35: 9}
BEET = {5: 42, 10: 17, 15: 10, 20: 6, 25: 5, 30: 5, 35: 5}
PRINTED_DAYS = {
    "carrot-early": CARROT,
    "carrot-maincrop": CARROT,
    "parsnip": {0: 172, 5: 57, 10: 27, 15: 19, 20: 14, 25: 15, 30: 32},
    "beetroot-early": BEET,
    "beetroot-maincrop": BEET,
    "turnip": {10: 5, 15: 3, 20: 2, 25: 1, 30: 1, 35: 1, 40: 3},
    "radish": {5: 29, 10: 11, 15: 6, 20: 4, 25: 4, 30: 3},
}
NO_GERMINATION = [
    ("carrot-early", 0),
    ("carrot-early", 40),
    ("parsnip", 35),
    ("parsnip", 40),
    ("turnip", 0),
    ("turnip", 5),
    ("radish", 0),
]
CASES = [(key, soil_c, days) for key, row in PRINTED_DAYS.items() for soil_c, days in row.items()]


@pytest.mark.parametrize(("key", "soil_c", "days"), CASES)
def test_seed_held_at_a_printed_temperature_takes_the_printed_days(key, soil_c, days):
    held = np.full((1, 400), float(soil_c))
    assert emergence_index(crop(key).germination, held, 100, floor_days=0).tolist() == [100 + days]


@pytest.mark.parametrize(("key", "soil_c"), NO_GERMINATION)
def test_seed_held_where_none_germinated_never_shows(key, soil_c):
    held = np.full((1, 2000), float(soil_c))
    assert emergence_index(crop(key).germination, held, 0, floor_days=0).tolist() == [-1]


# Base temperatures of emergence [°C]. From memory: Bierhuizen, J.F. and Wagenvoort, W.A., Some aspects of
# seed germination in vegetables 1, Scientia Horticulturae 2, 1974, pp. 213-219.
UNTRIED_BASES_C = {
    "cabbage-summer": 1.0,
    "aubergine": 12.1,
    "beetroot-early": 2.1,
    "pea": 3.2,
    "parsley": 0.0,
}


@pytest.mark.parametrize("key", UNTRIED_BASES_C)
def test_where_the_trial_began_too_warm_the_line_drawn_on_ends_near_the_published_base(key):
    """Other seed in another country: within three degrees, which is how far the two differ for parsley."""
    soil_c = np.linspace(-5, 20, 2501)
    rates = emergence_rate(crop(key).germination, soil_c)
    base_c = soil_c[rates > 0][0]
    print(f"{key}: nothing below {base_c:.1f} °C, published base {UNTRIED_BASES_C[key]} °C")
    assert abs(base_c - UNTRIED_BASES_C[key]) <= 3
