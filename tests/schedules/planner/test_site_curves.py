import json
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from plots.crops import crops
from schedules.planner import Cover, SiteCurves, plan, plan_payload, span
from schedules.planner.seasons import turning_points
from tests.schedules.planner.climates import NORTH, TODAY, request, yearly_wave

FIRST, DAYS = span(request(), NORTH, {}, TODAY)


def test_curves_shared_between_sowings_change_no_plan():
    weather = yearly_wave(FIRST, DAYS)
    shared = SiteCurves(weather, NORTH)
    for grown in crops():
        for cover in (Cover.NONE, Cover.CLEAR):
            asked = request(grown.key, cover=cover)
            alone, together = (
                json.dumps(plan_payload(plan(asked, NORTH, weather, {}, TODAY, each)), sort_keys=True)
                for each in (None, shared)
            )
            assert alone == together, grown.key


def test_curves_of_another_site_are_refused():
    weather = yearly_wave(FIRST, DAYS)
    with pytest.raises(ValueError, match="another climate or site"):
        plan(request(), NORTH, weather, {}, TODAY, SiteCurves(weather, replace(NORTH, latitude=51.0)))


def test_curves_of_other_weather_are_refused():
    with pytest.raises(ValueError, match="another climate or site"):
        plan(
            request(), NORTH, yearly_wave(FIRST, DAYS), {}, TODAY, SiteCurves(yearly_wave(FIRST, DAYS), NORTH)
        )


def test_the_sites_own_correction_is_added_to_the_soil():
    weather = yearly_wave(FIRST, 100)
    plain, corrected = (
        SiteCurves(weather, replace(NORTH, soil_correction_c=each)).soil_c for each in (0, -1.5)
    )
    assert corrected == pytest.approx(plain - 1.5)


def test_the_turn_of_the_year_does_not_move_with_where_the_window_begins():
    late, early = (
        yearly_wave(first, (date(2030, 1, 1) - first).days) for first in (date(2027, 1, 1), date(2026, 5, 1))
    )
    found = [
        {str(each.first + np.timedelta64(point[0], "D").item()) for point in turning_points(each.tmean_c)}
        for each in (late, early)
    ]
    assert found[0] <= found[1]
