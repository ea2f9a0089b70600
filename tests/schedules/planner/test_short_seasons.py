"""Where summer is too short for a crop to be grown out: what may be eaten small is sown all the same."""

from datetime import date

import pytest

from plots.crops import crops
from schedules.planner import SiteFacts, sentence
from tests.schedules.planner.climates import job, planned, request

crops_by_key = {each.key: each for each in crops()}
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
    answer = planned(request(crop), site=FAR_NORTH, mean_c=0.0, half_range_c=11.0)
    assert answer.sow is None
    assert "no_day_is_fit" in rules(answer)


def test_a_summer_long_enough_needs_no_such_word():
    assert "season_is_short" not in rules(planned(request("turnip")))


@pytest.mark.parametrize("crop", [each.key for each in crops()])
@pytest.mark.parametrize("mean_c", [1.0, 4.0, 6.0])
def test_every_crop_has_an_answer_where_summers_are_short(crop, mean_c):
    answer = planned(request(crop), site=FAR_NORTH, mean_c=mean_c, half_range_c=12.5)
    assert all(sentence(each) for each in (*answer.warnings, *answer.outlook))


@pytest.mark.parametrize("crop", ["turnip", "swede", "pea", "cabbage-summer", "calabrese", "spring-onion"])
def test_a_little_more_warmth_never_shortens_the_time_for_sowing_much(crop):
    """A season just long enough for middling sorts closed within days, though quick ones had weeks."""
    widths = []
    for mean_c in [3.0 + 0.25 * step for step in range(17)]:
        answer = planned(request(crop), site=FAR_NORTH, mean_c=mean_c, half_range_c=9.0)
        is_sure = answer.sow is not None and "risky_season" not in rules(answer)
        widths.append((answer.sow.by - answer.sow.start).days if is_sure else 0)
    first = next((at for at, width in enumerate(widths) if width), 0)
    assert all(width >= 12 for width in widths[first + 1 :]), widths


def test_swedes_are_sown_into_june_in_the_middle_of_england():
    """From early May to mid June (a British seed house, undated); 85 to 100 days are Michigan State's own."""
    assert crops_by_key["swede"].number("days_to_maturity_max") == 100
    answer = planned(request("swede"))
    assert answer.sow.by.month == 6


@pytest.mark.parametrize("crop", ["brussels-sprouts", "leek", "swede", "cabbage-winter"])
def test_what_stands_a_mild_winter_may_go_in_until_early_summer(crop):
    """Sprouts mid May to early June (Royal Horticultural Society, undated), winter cabbage from mid June on
    (Garden Organic, undated), swedes May to June, leeks June to August (common practice)."""
    answer = planned(request(crop), mean_c=10.2, half_range_c=6.8)
    assert answer.sow.by >= date(2027, 6, 1)
    assert "season_is_short" not in rules(answer)
