"""The root zone's account, worked by hand from FAO-56 equations 82 to 85, and what must hold of any."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.agronomy.soil_water import (
    WaterUse,
    crop_coefficient,
    drying_coefficient,
    effective_rain_mm,
    root_zone,
    rooting_depth_m,
)
from schedules.agronomy.soils import SOILS

CARROT = WaterUse(0.70, 1.05, 0.95, 0.5, 0.35, (20, 30, 30, 20))
RAIN = st.lists(st.floats(0, 40, allow_nan=False), min_size=3, max_size=80)


def test_the_coefficient_steps_through_four_stages():
    """Figure 34 of the paper: level, up, level, down; here over a life of 100 days from day 10 on."""
    found = crop_coefficient([0, 10, 30, 45, 60, 90, 100, 110, 150], 10, 110, CARROT)
    assert found.tolist() == pytest.approx([0.7, 0.7, 0.7, 0.875, 1.05, 1.05, 1.0, 0.95, 0.95])


def test_roots_go_down_to_the_start_of_mid_season():
    assert rooting_depth_m([0, 10, 35, 60, 99], 10, 110, CARROT).tolist() == pytest.approx(
        [0.2, 0.2, 0.35, 0.5, 0.5]
    )


def test_open_ground_that_is_dry_gives_off_nothing():
    """What is left of a young crop's coefficient is its leaves' 0.15 (table 17); a closed one keeps all."""
    young = drying_coefficient(0.70, 0.1, [1.0, 0.5, 0.0], CARROT)
    assert young.tolist() == pytest.approx([0.70, 0.425, 0.15])
    assert drying_coefficient(1.05, 0.6, 0.0, CARROT) == pytest.approx(1.05)


def test_a_sprinkle_below_a_fifth_of_the_evapotranspiration_does_not_count():
    assert effective_rain_mm([0.7, 0.8, 5.0], 4.0).tolist() == [0.0, 0.8, 5.0]


def test_one_day_by_hand():
    """10 mm gone, 4 mm of rain, 5 mm used: 11. TAW 77.5, p 0.35: RAW 27.1."""
    zone = root_zone([4.0], [5.0], 1.0, 0.5, depletion_p=0.35, soil="loam", start_mm=10.0)
    assert zone.depletion_mm.tolist() == pytest.approx([11.0])
    assert zone.available_mm.tolist() == pytest.approx([77.5])
    assert zone.readily_mm.tolist() == pytest.approx([27.125])
    assert not zone.is_short.any()


def test_water_given_without_measure_fills_the_ground():
    zone = root_zone(
        [0.0, 0.0], 4.0, 1.0, 0.5, depletion_p=0.35, soil="loam", start_mm=50.0, given_mm=[np.inf, 0]
    )
    assert zone.depletion_mm.tolist() == pytest.approx([4.0, 8.0])


@given(rain=RAIN, more=RAIN, soil=st.sampled_from(list(SOILS)), et0=st.floats(0, 8))
def test_more_rain_never_leaves_drier_roots(rain, more, soil, et0):
    days = min(len(rain), len(more))
    less = np.array(rain[:days])
    account = {"depletion_p": 0.35, "soil": soil}
    dry = root_zone(less, et0, 1.0, 0.5, **account)
    wet = root_zone(less + np.array(more[:days]), et0, 1.0, 0.5, **account)
    assert (wet.depletion_mm <= dry.depletion_mm + 1e-9).all()


@given(rain=RAIN, soil=st.sampled_from(list(SOILS)), et0=st.floats(0, 9), start=st.floats(0, 200))
def test_the_root_zone_never_lacks_more_than_it_holds(rain, soil, et0, start):
    zone = root_zone(rain, et0, 1.1, 0.4, depletion_p=0.35, soil=soil, start_mm=start)
    assert (zone.depletion_mm >= 0).all()
    assert (zone.depletion_mm <= zone.available_mm + 1e-9).all()
    assert (zone.readily_mm <= zone.available_mm).all()


def test_unknown_rain_is_not_no_rain():
    zone = root_zone([1.0, np.nan, 30.0], 4.0, 1.0, 0.5, depletion_p=0.35, soil="loam")
    assert np.isnan(zone.depletion_mm).tolist() == [False, True, True]
    assert not zone.is_short.any()


def test_members_do_not_meet():
    rain = np.array([[0.0, 9.0, 0.0], [20.0, 0.0, 0.0]])
    both = root_zone(rain, 5.0, 1.0, 0.3, depletion_p=0.3, soil="sand", start_mm=[3.0, 9.0])
    alone = root_zone(rain[1], 5.0, 1.0, 0.3, depletion_p=0.3, soil="sand", start_mm=9.0)
    assert both.depletion_mm[1].tolist() == alone.depletion_mm.tolist()
