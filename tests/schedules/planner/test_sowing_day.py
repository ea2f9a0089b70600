from datetime import date, timedelta

import pytest

from schedules.planner import Cover, PlanFault, SowingRequest, State, Window, plan, span
from tests.schedules.planner.climates import (
    NORTH,
    SOUTH,
    TODAY,
    done,
    job,
    names,
    planned,
    put_off,
    request,
    rules,
    yearly_wave,
)


def test_fit_opens_when_the_soil_is_warm_enough():
    answer = planned()
    assert TODAY < answer.sow.start < answer.sow.best < answer.sow.by
    assert job(answer, "sow").reason.values["soil_c"] >= 7.5


def test_fit_never_opens_before_the_day_asked_for():
    late = date(2027, 5, 20)
    assert planned(request(not_before=late)).sow.start == late


def test_a_colder_climate_opens_later():
    assert planned(mean_c=8.0).sow.start > planned(mean_c=11.0).sow.start


def test_a_clear_cover_opens_the_sowing_earlier():
    assert planned(request(cover=Cover.CLEAR)).sow.start < planned().sow.start


def test_mesh_warms_nothing():
    assert planned(request(cover=Cover.MESH)).sow == planned().sow


def test_a_cover_laid_later_warms_later():
    early = planned(request(cover=Cover.CLEAR), record={"s1/warm": done(TODAY)})
    late = planned(request(cover=Cover.CLEAR), record={"s1/warm": done(TODAY + timedelta(days=35))})
    assert early.sow.start < late.sow.start


def test_a_day_set_is_the_season_and_the_job():
    day = date(2027, 4, 20)
    answer = planned(request(sow_on=day))
    assert answer.sow == job(answer, "sow").window == Window(day, day, day)


def test_too_late_this_season_rolls_to_the_next_and_says_so():
    answer = planned(request(not_before=date(2027, 9, 20)), today=date(2027, 9, 20))
    assert answer.sow.start.year == 2028
    assert "next_season_instead" in rules(answer.warnings)


def test_planning_before_the_season_is_no_rolling():
    assert "next_season_instead" not in rules(planned().warnings)


def test_late_summer_is_still_fit_while_the_soil_cools():
    answer = planned(request("radish", not_before=date(2027, 8, 10)), today=date(2027, 8, 10))
    assert answer.sow.start == date(2027, 8, 10)


def test_the_best_day_is_never_in_the_past():
    today = date(2027, 5, 20)
    answer = planned(today=today)
    assert answer.sow.start < today == answer.sow.best


def test_an_overdue_sowing_keeps_its_window_and_moves_what_follows():
    today = date(2027, 5, 20)
    answer = planned(request(sow_on=date(2027, 4, 20)), today=today)
    assert job(answer, "sow").window.by == date(2027, 4, 20)
    assert answer.emergence.start > today
    assert "sowing_not_recorded" in rules(answer.warnings)


def test_a_recorded_sowing_is_not_overdue():
    answer = planned(
        request(sow_on=date(2027, 4, 20)), record={"s1/sow": done(date(2027, 4, 22))}, today=date(2027, 5, 20)
    )
    assert "sowing_not_recorded" not in rules(answer.warnings)
    assert job(answer, "sow").state is State.DONE


def test_a_sowing_put_off_opens_on_that_day_at_the_earliest():
    day = date(2027, 5, 25)
    answer = planned(record={"s1/sow": put_off(day)})
    assert answer.sow.start == job(answer, "sow").window.start == day


def test_a_southern_site_sows_in_its_own_spring():
    answer = planned(request(not_before=date(2027, 5, 1)), site=SOUTH, today=date(2027, 5, 1))
    assert date(2027, 7, 20) < answer.sow.start < date(2027, 10, 20)


def test_a_tropical_site_sows_today():
    site = type(NORTH)(3.0, 30.0, "UTC")
    answer = planned(site=site, mean_c=24.0, half_range_c=1.5)
    assert answer.sow.start == answer.sow.best == TODAY
    assert "lift" in names(answer)


def test_a_place_never_fit_gets_an_honest_warning_and_no_jobs():
    answer = planned(mean_c=-12.0)
    assert answer.sow is None
    assert answer.jobs == ()
    assert rules(answer.warnings) == {"no_day_is_fit"}


def test_weather_that_misses_the_day_is_refused_by_name():
    asked = request(sow_on=date(2040, 1, 1))
    first, days = span(request(), NORTH, {}, TODAY)
    with pytest.raises(PlanFault, match="sow_on"):
        plan(asked, NORTH, yearly_wave(first, days), {}, TODAY)


def test_a_container_without_height_is_refused():
    with pytest.raises(PlanFault, match="container_height_cm"):
        request(container_height_cm=0)


def test_a_variety_replaces_the_crops_own_days():
    slow = planned(request(variety_days_min=100, variety_days_max=120))
    assert job(slow, "lift").window.start > job(planned(), "lift").window.start


def test_a_variety_with_its_days_crossed_is_refused():
    with pytest.raises(PlanFault, match="variety_days_min"):
        SowingRequest("s1", request().crop, None, TODAY, variety_days_min=90, variety_days_max=70)
