from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from plots.crops import crop
from schedules.planner import Cover, SiteCurves, plan
from schedules.planner.curves import Curves
from schedules.planner.fitness import first_fit, fitness_of, running
from tests.schedules.planner.climates import NORTH, TODAY, planned, request, span, yearly_wave


def fit(*soil_c: float, start: int = 0) -> int:
    """First fit day of one member at 8 °C; the last value goes on for ever."""
    return int(first_fit(np.array([[*soil_c, *[soil_c[-1]] * 20]]), 8.0, start)[0])


def test_ground_is_fit_on_the_third_warm_day():
    assert fit(5, 7, 8, 8, 9) == 4


def test_two_warm_days_are_not_enough():
    assert fit(8, 8, 7, 8, 8, 8) == 5


def test_ground_that_cools_towards_the_threshold_is_not_fit():
    assert fit(11, 10, 9, 8, 7) == 25


def test_ground_that_cools_but_stays_warm_for_a_fortnight_is_fit():
    assert fit(20, 19, 18, 17, 16) == 2


def test_no_day_before_the_start_counts():
    assert fit(9, 9, 9, 9, 9, 9, start=5) == 5


def test_ground_that_stays_cold_is_never_fit():
    assert fit(4, 4, 4) == 23


def test_a_start_past_the_last_day_is_never_fit():
    assert fit(9, 9, 9, start=400) == 23


def rained_on(asked, *, wet_mm: float, dry_from: int = 10_000, record=None):
    """Plan where it rains so much every day, and not at all from some day on."""
    first, days = span(asked, NORTH, {}, TODAY)
    weather = yearly_wave(first, days)
    rain = np.where(np.arange(days) < dry_from + (TODAY - first).days, wet_mm, 0.0)
    weather = replace(weather, rain_mm=np.broadcast_to(rain, weather.tmin_c.shape))
    return plan(asked, NORTH, weather, record or {}, TODAY)


def test_wet_ground_waits_to_dry():
    dry = rained_on(request(), wet_mm=0.0).sow
    wet = rained_on(request(), wet_mm=15.0, dry_from=100).sow
    assert wet.best > dry.best
    assert wet.best >= date(2027, 5, 12)


def test_rain_unknown_forbids_nothing():
    assert planned().sow == rained_on(request(), wet_mm=0.0).sow


def test_ground_that_never_dries_is_sown_when_warm_with_a_warning():
    answer = rained_on(request(), wet_mm=15.0)
    assert answer.sow == planned().sow
    assert "ground_may_stay_wet" in {each.rule for each in answer.warnings}


@pytest.mark.parametrize("cover", [Cover.CLEAR, Cover.BLACK, Cover.FILM])
def test_under_a_sheet_that_sheds_rain_wet_ground_dries(cover):
    answer = rained_on(request(cover=cover), wet_mm=15.0)
    assert "ground_may_stay_wet" not in {each.rule for each in answer.warnings}


@pytest.mark.parametrize("cover", [Cover.NONE, Cover.FLEECE, Cover.MESH])
def test_what_lets_rain_through_dries_nothing(cover):
    answer = rained_on(request(cover=cover), wet_mm=15.0)
    assert "ground_may_stay_wet" in {each.rule for each in answer.warnings}


def test_three_days_running_are_three_days():
    allowed = np.array([[False, True, True, True, True, False, True]])
    assert running(allowed)[0].tolist() == [False, False, False, True, True, False, False]


def tender(crop_key):
    """Return what each day allows, and the last frosts of nine springs in ten and of the middle one."""
    shared = SiteCurves(yearly_wave(date(2027, 1, 1), 1000, mean_c=10.0), NORTH)
    curves = Curves(shared, 5.0, Cover.NONE, 0, 31)
    fitness = fitness_of(request(crop_key), curves)
    return fitness, shared.last_frost_on(23, 206, 90), shared.last_frost_on(23, 206, 50)


@pytest.mark.parametrize("key", ["french-bean", "tomato", "courgette", "sweetcorn", "runner-bean"])
def test_tender_crops_wait_for_the_last_frost_of_nine_springs_in_ten(key):
    fitness, last, _ = tender(key)
    assert (fitness.first(23) > last).all()


def test_potatoes_may_lie_in_the_ground_before_it():
    fitness, last, middle = tender("potato-early")
    assert fitness.safe[min(last, middle) - 30 : 300].all()
    assert not fitness.safe[23 : middle - 40].any()
    assert crop("potato-early").fact("frost_class").value == "tender"


def test_hardy_crops_wait_for_no_frost():
    fitness, *_ = tender("pea")
    assert fitness.safe.all()
