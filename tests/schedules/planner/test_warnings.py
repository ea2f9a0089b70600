from dataclasses import replace
from datetime import date

import numpy as np

from schedules.planner import plan, record_warnings, span
from tests.schedules.planner.climates import NORTH, TODAY, planned, request, rules, yearly_wave


def with_climate(**changes):
    first, days = span(request(), NORTH, {}, TODAY)
    return plan(request(), NORTH, replace(yearly_wave(first, days), **changes), {}, TODAY)


def test_a_day_in_cold_ground_is_warned_of_with_its_figures():
    answer = planned(request(sow_on=date(2027, 2, 10)))
    warning = next(each for each in answer.warnings if each.rule == "soil_too_cold")
    assert warning.values["soil_c"] < warning.values["practical_sow_soil_c"] == 7.5


def test_a_day_in_warm_ground_is_not_warned_of():
    assert planned(request(sow_on=date(2027, 5, 20))).warnings == ()


def test_a_day_too_late_to_grow_is_warned_of():
    answer = planned(request(sow_on=date(2027, 9, 20)), today=date(2027, 9, 1))
    assert "too_late_to_grow" in rules(answer.warnings)


def test_seed_in_scorched_ground_may_not_emerge():
    answer = planned(request(sow_on=date(2027, 7, 10)), mean_c=38.0)
    assert "may_not_emerge" in rules(answer.warnings)
    assert answer.emergence is None


def test_gaps_in_the_record_are_warned_of():
    answer = with_climate(observed_until=date(2027, 1, 20), missing_days=11)
    warning = next(each for each in answer.warnings if each.rule == "weather_has_gaps")
    assert warning.values["missing_days"] == 11


def test_normals_alone_have_no_gaps():
    assert "weather_has_gaps" not in rules(with_climate(missing_days=300).warnings)


def test_a_record_ahead_of_today_serves_as_climate_only():
    ahead = record_warnings(date(2028, 1, 1), date(2029, 1, 1), TODAY)
    past = record_warnings(date(2020, 1, 1), date(2026, 12, 31), TODAY)
    across = record_warnings(date(2020, 1, 1), date(2029, 1, 1), TODAY)
    assert (rules(ahead), rules(across), past) == ({"record_lies_ahead"}, {"record_runs_past_today"}, [])


def test_every_computed_reason_says_what_it_rests_on():
    answer = planned()
    computed = {"sow", "cover", "thin", "weed", "lift", "warm", "resow"}
    found = [job.reason.values for job in answer.jobs if job.kind in computed]
    assert all(values["basis"] == "normals" and values["spread_c"] == 1.3 for values in found)


def test_past_years_are_counted_as_such():
    values = with_climate(basis="years").jobs[0].reason.values
    assert (values["basis"], values["basis_years"]) == ("years", 9)


def test_every_value_of_a_reason_is_a_json_scalar():
    answer = planned(request("carrot-maincrop", container_height_cm=90))
    reasons = [reason for job in answer.jobs for reason in (job.reason, *job.notes)]
    values = [value for reason in [*reasons, *answer.warnings] for value in reason.values.values()]
    assert not [value for value in values if isinstance(value, np.generic)]
    assert {type(value) for value in values} <= {str, int, float, bool, type(None)}
