"""The soil recursion against hand arithmetic and a general signal filter.

Source of the form: Zheng, D., Hunt, E.R. and Running, S.W., Climate Research 2, 1993, pp. 183-191: eleven-day
running mean, response 0.25 (0.1 under snow), warming slowed by exp(-extinction x leaf area).
"""

import numpy as np
import pytest
from scipy.signal import lfilter

from schedules.agronomy.soil_temperature import running_mean, soil_temperature_c

LAST_ELEVEN_DAYS_C = [6, 7, 8, 8, 9, 10, 10, 11, 9, 8, 12]


def test_eleven_days_average_by_hand():
    """They add up to 98; 98 / 11 = 8.9091."""
    assert running_mean(LAST_ELEVEN_DAYS_C)[-1] == pytest.approx(8.9091, abs=5e-5)


def test_one_day_over_bare_soil_by_hand():
    """7 + 0.25 (8.9091 - 7) = 7.4773."""
    assert soil_temperature_c([98 / 11], start_c=7.0)[-1] == pytest.approx(7.4773, abs=5e-5)


def test_one_day_under_leaves_by_hand():
    """Leaf area 2, extinction 0.45: exp(-0.9) = 0.40657; 7 + 0.25 x 0.40657 x 1.9091 = 7.1940."""
    assert soil_temperature_c([98 / 11], start_c=7.0, leaf_area=2.0)[-1] == pytest.approx(7.1940, abs=5e-5)


def test_constant_air_leaves_the_soil_where_the_air_is():
    """Identity of the recursion: with A = T there is no step."""
    assert soil_temperature_c(np.full(400, 8.25)) == pytest.approx(8.25, abs=1e-9)


def test_bare_soil_is_a_first_order_filter():
    """scipy.signal.lfilter runs T[j] = 0.25 A[j] + 0.75 T[j-1] from T = 6."""
    air_c = np.random.default_rng(7).normal(9, 6, 800)
    filtered, _ = lfilter([0.25], [1, -0.75], running_mean(air_c), zi=[0.75 * 6.0])
    np.testing.assert_allclose(soil_temperature_c(air_c, start_c=6.0), filtered, atol=1e-9)
