"""Where summer is too short for a crop to be grown out: what may be eaten small is sown all the same."""

import pytest

from plots.crops import crops
from schedules.planner import SiteFacts, sentence
from tests.schedules.planner.climates import job, planned, request

FAR_NORTH = SiteFacts(64.0, 20.0, "Europe/Stockholm")
SHORT_SUMMER = {"mean_c": 4.0, "half_range_c": 12.5}


def rules(answer):
    return [warning.rule for warning in answer.warnings]


@pytest.mark.parametrize("crop", ["swede", "parsnip", "onion-sets", "broad-bean"])
def test_a_crop_that_is_good_small_is_sown_at_once_and_owned_up_to(crop):
    answer = planned(request(crop), site=FAR_NORTH, **SHORT_SUMMER)
    assert answer.sow is not None
    assert (answer.sow.by - answer.sow.start).days <= 40
    assert "season_is_short" in rules(answer)
    assert job(answer, "lift").window.start > answer.sow.by


@pytest.mark.parametrize("crop", ["tomato", "aubergine", "winter-squash"])
def test_fruit_that_must_ripen_has_no_day(crop):
    answer = planned(request(crop), site=FAR_NORTH, mean_c=3.0, half_range_c=11.0)
    assert answer.sow is None
    assert "no_day_is_fit" in rules(answer)


def test_a_summer_long_enough_needs_no_such_word():
    assert "season_is_short" not in rules(planned(request("turnip")))


@pytest.mark.parametrize("crop", [each.key for each in crops()])
@pytest.mark.parametrize("mean_c", [1.0, 4.0, 6.0])
def test_every_crop_has_an_answer_where_summers_are_short(crop, mean_c):
    answer = planned(request(crop), site=FAR_NORTH, mean_c=mean_c, half_range_c=12.5)
    assert all(sentence(each) for each in (*answer.warnings, *answer.outlook))
