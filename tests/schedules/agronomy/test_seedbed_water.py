"""The top of bare ground: FAO-56 equations 73, 74 and 77, worked by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from schedules.agronomy.evapotranspiration import hargreaves_mm
from schedules.agronomy.seedbed_water import (
    evaporation_reduction,
    is_parched,
    is_workable,
    surface_depletion_mm,
)
from schedules.agronomy.soils import SOILS
from tests.outside import records

RAIN = st.lists(st.floats(0, 60, allow_nan=False), min_size=5, max_size=60)


def half_months(place, latitude, soil, judged):
    """The share of days, by half months, on which a record's bare ground is judged so."""
    weather = records.county(place)
    day = (weather.dates - weather.dates.astype("datetime64[Y]")).astype(int) + 1
    et0 = hargreaves_mm(weather.tmin_c, weather.tmax_c, day, latitude)
    states = judged(surface_depletion_mm(weather.rain_mm, et0, soil), soil)
    half = (day - 1) // 15
    return [float(states[half == each].mean()) for each in range(24)]


def test_a_soaking_fills_the_layer_and_wet_ground_gives_off_all_that_the_air_takes():
    """1.2 x 2 mm on the day of the soaking; 2.4 mm more on the next."""
    found = surface_depletion_mm([80.0, 0.0], [2.0, 2.0], "loam", start_mm=19.0)
    assert found.tolist() == pytest.approx([2.4, 4.8])


def test_a_light_shower_comes_off_before_the_day_dries():
    """15 mm gone, 5 mm of rain: Kr (19 - 10) / (19 - 9), so 0.9 x 1.2 x 2 mm on top of 10."""
    assert surface_depletion_mm([5.0], [2.0], "loam", start_mm=15.0).tolist() == pytest.approx([12.16])


def test_the_reduction_falls_straight_from_the_readily_evaporable_water():
    assert evaporation_reduction([0.0, 9.0, 14.0, 19.0], "loam").tolist() == [1.0, 1.0, 0.5, 0.0]


@given(rain=RAIN, soil=st.sampled_from(list(SOILS)), et0=st.floats(0, 9))
def test_the_layer_never_lacks_more_than_it_holds(rain, soil, et0):
    found = surface_depletion_mm(rain, et0, soil)
    assert (found >= 0).all()
    assert (found <= SOILS[soil].evaporable_mm).all()


@given(rain=RAIN, soil=st.sampled_from(list(SOILS)), et0=st.floats(0, 9))
def test_water_is_neither_made_nor_lost(rain, soil, et0):
    """What a layer lacks more of by evening than after rain is evaporation, at most 1.2 ET0."""
    found = surface_depletion_mm(rain, et0, soil)
    after_rain = np.maximum(np.concatenate([[0.0], found[:-1]]) - rain, 0.0)
    evaporated = found - after_rain
    assert (evaporated >= -1e-9).all()
    assert (evaporated <= 1.2 * et0 + 1e-9).all()


def test_members_do_not_meet():
    rain = np.array([[0.0, 9.0, 0.0], [20.0, 0.0, 0.0]])
    both = surface_depletion_mm(rain, 3.0, "clay")
    assert both.shape == (2, 3)
    for member in range(2):
        assert both[member].tolist() == surface_depletion_mm(rain[member], 3.0, "clay").tolist()


def test_unknown_rain_is_neither_dry_nor_wet():
    """Nothing is known from the gap on; no work is forbidden and no seed is held."""
    found = surface_depletion_mm([0.0, np.nan, 0.0], 3.0, "loam")
    assert np.isnan(found).tolist() == [False, True, True]
    assert is_workable(found, "loam").tolist() == [True, True, True]
    assert is_parched(found, "loam").tolist() == [False, False, False]


@pytest.mark.parametrize("soil", SOILS)
def test_no_ground_is_both_too_wet_to_work_and_too_dry_for_seed(soil):
    depletion = np.linspace(0.0, SOILS[soil].evaporable_mm, 200)
    assert not (~is_workable(depletion, soil) & is_parched(depletion, soil)).any()
    assert not is_workable(0.0, soil)
    assert is_parched(SOILS[soil].evaporable_mm, soil)


def test_workable_loam_and_clay_lie_below_the_plastic_limit_found_in_the_field():
    """20 % by mass at 18 % clay, 28 % at 53 % clay (Soil moisture and workability of heavy arable soils,
    abstract); taken to volume with 1.3 and 1.2 g/cm3, common practice, no published source."""
    limits = {"loam": 0.20 * 1.3, "clay": 0.28 * 1.2}
    for soil, limit in limits.items():
        depletion = np.linspace(0.0, 15.0, 1501)
        wettest = depletion[is_workable(depletion, soil)].min()
        assert SOILS[soil].field_capacity - wettest / 100 < limit


@pytest.mark.parametrize(("place", "latitude"), [("cambridge", 52.2), ("brussels", 50.8)])
def test_light_land_is_worked_from_late_february_and_clay_from_march(place, latitude):
    """Common practice, no published source: light land late in February and March, clay in March and April;
    summers never stop work for long, and in midwinter it is rarely fit."""
    light = half_months(place, latitude, "sand", is_workable)
    clay = half_months(place, latitude, "clay", is_workable)
    assert max(light[0], clay[0]) < 0.25
    assert light[3] > 0.5 > clay[3]
    assert clay[5] > 0.5
    assert clay[6] > 0.7
    assert min(clay[7:16]) > 0.8


def test_northern_clay_is_later_and_still_open_by_april():
    clay = half_months("northumberland", 55.2, "clay", is_workable)
    assert clay[4] < 0.5 < clay[6]


def test_seed_beds_dry_out_in_summer_and_never_in_winter():
    """Common practice, no published source: drills need the can from May to August, not before April."""
    dry = half_months("cambridge", 52.2, "loam", is_parched)
    assert max(dry[:4]) == 0.0
    assert 0.25 < np.mean(dry[8:15]) < 0.5


def test_a_week_without_rain_in_june_parches_a_loam_drill():
    """Common practice, no published source. Four millimetres a day is June in eastern England."""
    days = is_parched(surface_depletion_mm(np.zeros(14), 4.0, "loam"), "loam")
    assert 5 <= int(days.argmax()) + 1 <= 8


def test_an_unknown_soil_is_named():
    with pytest.raises(ValueError, match="'chalk' is not a kind of soil"):
        surface_depletion_mm([1.0], [1.0], "chalk")
