"""What parts the time for sowing: heat, cold and slow growth, each with its reason."""

from datetime import date

import numpy as np
import pytest

from plots.crops import crop
from schedules.planner import SiteFacts, sentence
from schedules.planner.stretches import unfit_spells
from tests.schedules.planner.climates import TODAY, job, planned, request, rules

MILD_ISLAND = SiteFacts(38.0, -25.0, "Atlantic/Azores")
HIGHLAND = SiteFacts(-1.0, 37.0, "Africa/Nairobi")
HOT_SUMMER = SiteFacts(37.0, -6.0, "Europe/Madrid")
ISLAND = {"mean_c": 18.0, "half_range_c": 4.0}
HOT = {"mean_c": 19.0, "half_range_c": 9.0}


def notes(answer):
    return {each.rule for each in job(answer, "sow").notes}


def test_a_long_unfit_spell_parts_a_season_and_a_short_one_does_not():
    unfit = np.zeros(100, dtype=bool)
    unfit[40:60] = unfit[80:85] = True
    assert unfit_spells(unfit, 10, 95) == [(10, 39), (60, 95)]


def test_a_season_without_a_fit_day_leaves_no_part():
    assert unfit_spells(np.ones(100, dtype=bool), 10, 95) == []


@pytest.mark.parametrize("key", ["tomato", "french-bean", "sweetcorn", "courgette"])
def test_on_a_mild_island_tender_crops_have_a_season_that_says_why_it_closes(key):
    answer = planned(request(key), site=MILD_ISLAND, **ISLAND)
    assert (answer.sow.by - answer.sow.start).days < 300
    assert answer.sow.by < date(2027, 12, 15)
    assert notes(answer) & {"slow_growth_closes", "cold_closes"}


def test_on_a_mild_island_garlic_waits_for_autumn():
    assert planned(request("garlic"), site=MILD_ISLAND, today=date(2027, 5, 1), **ISLAND).sow.best.month >= 10


def test_what_grows_all_year_says_so():
    answer = planned(request("lettuce"), site=HIGHLAND, mean_c=17.0, half_range_c=1.0)
    assert "year_round" in notes(answer)
    text = next(sentence(each) for each in job(answer, "sow").notes if each.rule == "year_round")
    assert text.startswith("Sow when you have room")


def test_alike_months_are_one_season_and_a_swing_is_not():
    winter_radish = request("winter-radish")
    assert planned(winter_radish, site=HIGHLAND, mean_c=17.0, half_range_c=1.0).sow.start < date(2027, 3, 1)
    assert planned(winter_radish, site=MILD_ISLAND, **ISLAND).sow.start >= date(2027, 6, 21)


@pytest.mark.parametrize("key", ["pea", "broad-bean", "lettuce", "calabrese"])
def test_cool_crops_flower_or_heart_in_no_month_hotter_than_they_bear(key):
    """The limit is the crop's own published one; the crop's growth decides when it counts."""
    answer = planned(request(key), site=HOT_SUMMER, **HOT)
    spring = answer.sow
    assert spring.by < date(2027, 5, 15)
    assert "ripening_heat_closes" in notes(answer)
    autumn = planned(request(key), site=HOT_SUMMER, today=date(2027, 6, 10), **HOT)
    assert autumn.sow.start > date(2027, 8, 1)
    assert notes(autumn) & {"ripening_heat_decides", "heat_decides"}


@pytest.mark.parametrize("key", ["pea", "broad-bean"])
def test_pods_are_not_started_in_a_month_of_27_degrees(key):
    """Sown into 27 °C they fail: Knott's table ends at a month of 75 °F (23.9 °C), see the fact's source."""
    assert crop(key).number("hottest_month_c") == 23.9
    answer = planned(request(key), site=HOT_SUMMER, today=date(2027, 7, 10), **HOT)
    day = (answer.sow.start - date(2027, 1, 1)).days + 1
    ahead = 19.0 + 9.0 * np.cos(2 * np.pi * (np.arange(day, day + 30) - 206) / 365.25)
    assert ahead.mean() < 27.0


def test_where_it_is_always_too_hot_to_heart_no_day_is_fit_and_the_reason_says_when():
    answer = planned(request("pea"), site=HIGHLAND, mean_c=25.5, half_range_c=0.2)
    assert answer.sow is None
    assert "flowering or hearting" in sentence(answer.warnings[0])


def test_a_cool_summer_knows_nothing_of_heat():
    assert not notes(planned(request("pea"))) & {"ripening_heat_closes", "heat_closes", "year_round"}


def test_no_sentence_of_a_bound_lacks_its_figures():
    for key in ("pea", "tomato", "garlic", "radish", "carrot-early"):
        for wave in (ISLAND, HOT):
            answer = planned(request(key), site=MILD_ISLAND, today=TODAY, **wave)
            assert all("None" not in sentence(each) for each in job(answer, "sow").notes)
            assert "no_day_is_fit" not in rules(answer.warnings)


@pytest.mark.parametrize("today", [date(2027, month, 10) for month in (1, 4, 7, 10)])
def test_what_grows_all_year_says_so_whenever_it_is_asked(today):
    answer = planned(
        request("lettuce", not_before=today), site=MILD_ISLAND, today=today, mean_c=16.0, half_range_c=3.0
    )
    assert "year_round" in notes(answer)
