"""What is sown or planted in autumn and stands the winter young."""

from datetime import date

import pytest

from plots.crops import crop
from tests.schedules.planner.climates import done, job, planned, request, rules

AUTUMN = date(2027, 9, 10)
YOUNG = ("broad-bean", "pea", "shallot", "onion-sets")


@pytest.mark.parametrize("key", YOUNG)
def test_asked_late_it_finds_the_autumn_opening_and_is_lifted_next_season(key):
    answer = planned(request(key, not_before=AUTUMN), today=AUTUMN, mean_c=10.0)
    assert answer.sow.start.year == 2027
    assert answer.sow.by <= date(2027, 12, 23)
    assert "next_season_instead" not in rules(answer.warnings)
    assert job(answer, "lift").window.start > date(2028, 3, 1)
    values = job(answer, "sow").reason.values
    assert values["opens"] == "as it cools"
    assert values["soil_c"] <= crop(key).number("autumn_soil_c") + 1


def test_in_spring_the_same_crop_is_sown_as_the_ground_warms():
    assert planned(request("broad-bean"), mean_c=10.0).sow.best < date(2027, 5, 1)


def test_a_hard_winter_has_no_autumn_opening():
    answer = planned(request("broad-bean", not_before=AUTUMN), today=AUTUMN, mean_c=8.0, half_range_c=14.0)
    assert answer.sow.start.year == 2028


def test_a_sowing_set_in_november_grows_on_in_spring():
    set_day = date(2027, 11, 10)
    answer = planned(request("broad-bean", sow_on=set_day), record={"s1/sow": done(set_day)}, mean_c=10.0)
    assert date(2028, 5, 1) < job(answer, "lift").window.start < date(2028, 8, 1)
    assert not rules(answer.warnings) & {"soil_too_cold", "too_late_to_grow"}


def test_a_crop_that_does_not_stand_it_is_sown_next_season():
    answer = planned(request("lettuce", not_before=date(2027, 10, 10)), today=date(2027, 10, 10), mean_c=10.0)
    assert answer.sow.start.year == 2028
    assert "next_season_instead" in rules(answer.warnings)


def test_a_sowing_set_and_never_recorded_keeps_its_season():
    asked = request("carrot-maincrop", sow_on=date(2027, 4, 20))
    answer = planned(asked, today=date(2027, 10, 20))
    assert job(answer, "lift").window.start.year == 2027
    assert "sowing_not_recorded" in rules(answer.warnings)
