from datetime import date

import numpy as np
import pytest

from schedules.agronomy.thermal_time import reached_index
from schedules.planner import Cover, PlanFault
from schedules.planner.curves import Curves
from schedules.planner.site_curves import SiteCurves
from tests.schedules.planner.climates import NORTH, yearly_wave

FIRST = date(2027, 1, 1)


def curves(cover: Cover = Cover.NONE, laid: int = 40) -> Curves:
    return Curves(SiteCurves(yearly_wave(FIRST, 500), NORTH), 4.0, cover, laid, 31)


@pytest.mark.parametrize("total", [1.0, 660.0, 1320.0])
def test_heat_is_reached_on_the_day_that_agronomy_finds(total):
    found = curves()
    start = np.arange(90.0, 99.0)
    expected = reached_index(found.degree_days, start.astype(int), total)
    assert found.heat_reached(start, total).tolist() == expected.tolist()


def test_heat_never_reached_lies_at_the_horizon():
    assert set(curves().heat_reached(np.full(9, 450.0), 9000.0)) == {500.0}


def test_a_cover_warms_nothing_before_it_is_laid():
    gain = curves(Cover.CLEAR).seedbed_c - curves().seedbed_c
    assert not gain[:, :40].any()


def test_a_cover_comes_to_its_warmth_slowly():
    gain = curves(Cover.CLEAR).seedbed_c - curves().seedbed_c
    assert (gain[:, 41] > 0).all()
    assert (gain[:, 41] < 1).all()


def test_a_cover_gives_all_its_warmth_in_the_sun_of_early_summer_and_little_in_winter():
    gain = curves(Cover.CLEAR, laid=0).seedbed_c - curves().seedbed_c
    june, january = 160, 20
    assert gain[:, june] == pytest.approx(4.0, abs=0.2)
    assert (gain[:, january] < 1.5).all()


def test_a_sheet_comes_off_at_sowing_and_fleece_stays():
    assert curves(Cover.CLEAR).rows_c[0, 90] == curves().soil_c[0, 90]
    assert curves(Cover.FLEECE).rows_c[0, 90] > curves().soil_c[0, 90]


def test_a_day_outside_the_weather_is_refused_with_its_field():
    with pytest.raises(PlanFault, match="sow_on: 2030-01-01"):
        curves().index_of(date(2030, 1, 1), "sow_on")


def test_warmth_past_the_optimum_counts_no_further():
    weather = yearly_wave(FIRST, 500, mean_c=40.0, half_range_c=2.0)
    held = Curves(SiteCurves(weather, NORTH), 4.0, Cover.NONE, 0, 31, optimum_c=22.0)
    assert held.degree_days == pytest.approx(18.0, abs=0.01)
