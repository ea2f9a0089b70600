"""Radiation and daylight against worked examples and an independent library.

Examples: Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, examples 8, 9, 15, 18.
Table: pyet 1.5.0 (extraterrestrial_r, daylight_hours), run apart because it wants pandas below 3.
"""

import numpy as np
import pytest

from schedules.agronomy.radiation import (
    ADJUSTMENT_INLAND,
    daylight_hours,
    extraterrestrial_mj,
    radiation_from_temperatures_mj,
)

MARCH_21, JUNE_21, DECEMBER_21 = 80, 172, 355
PYET = {
    52.0: ((23.0411, 41.6952, 6.2881), (11.9486, 16.4928, 7.5075)),
    58.0: ((19.7794, 41.4033, 3.0655), (11.9357, 17.8560, 6.1443)),
    -40.0: ((29.1762, 12.6676, 44.6841), (12.0337, 9.1563, 14.8436)),
    70.0: ((12.6443, 42.6950, 0.0), (11.8896, 24.0, 0.0)),
}


def test_example_8_gives_its_radiation_above_the_air():
    assert round(float(extraterrestrial_mj(246, -20.0)), 1) == 32.2


def test_example_9_gives_its_hours_of_daylight():
    assert round(float(daylight_hours(246, -20.0)), 1) == 11.7


def test_example_18_gives_its_radiation_and_daylight():
    assert round(float(extraterrestrial_mj(187, 50.80)), 2) == 41.09
    assert round(float(daylight_hours(187, 50.80)), 1) == 16.1


def test_example_15_gives_its_radiation_at_the_ground():
    assert round(float(radiation_from_temperatures_mj(14.8, 26.6, 40.6, ADJUSTMENT_INLAND)), 1) == 22.3


@pytest.mark.parametrize("latitude", PYET)
def test_a_library_finds_the_same_radiation_and_daylight(latitude):
    radiation, hours = PYET[latitude]
    days = [MARCH_21, JUNE_21, DECEMBER_21]
    assert extraterrestrial_mj(days, latitude) == pytest.approx(radiation, abs=0.01)
    assert daylight_hours(days, latitude) == pytest.approx(hours, abs=0.01)


def test_midnight_sun_and_polar_night_have_their_bounds():
    """At the pole the day has 24 hours or none, by the calendar of any almanac."""
    assert daylight_hours([172, 355], 90.0).tolist() == [24.0, 0.0]
    assert daylight_hours([172, 355], -90.0).tolist() == [0.0, 24.0]
    assert extraterrestrial_mj([172, 355], -80.0)[0] == 0.0


def test_both_hemispheres_share_the_sun():
    """Day north and south adds up to 24 hours; the sun is nearest in January, so the south peaks higher."""
    days = np.arange(1.0, 366.0)
    assert np.allclose(daylight_hours(days, 50.0) + daylight_hours(days, -50.0), 24.0)
    assert extraterrestrial_mj(days, -50.0).max() > extraterrestrial_mj(days, 50.0).max()


def test_a_place_beyond_the_pole_is_refused():
    with pytest.raises(ValueError, match="latitude_deg"):
        extraterrestrial_mj(1, 91.0)
