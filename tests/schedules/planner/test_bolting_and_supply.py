"""Running to seed, and what to have at hand."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from plots.crops import crop, crops
from schedules.planner import SiteFacts, plan, sentence, span
from schedules.planner.rules.supply import supply_reasons
from tests.schedules.planner.climates import NORTH, SOUTH, TODAY, done, planned, request, rules, yearly_wave


def warning(answer, rule):
    return next(each for each in answer.warnings if each.rule == rule)


def test_carrots_sown_in_autumn_meet_cold_enough_to_flower():
    asked = request("carrot-maincrop", sow_on=date(2027, 8, 10))
    found = warning(planned(asked), "bolts_after_cold")
    assert found.values["share_pct"] >= 20
    assert found.values["cold_cd"] >= 126
    text = sentence(found)
    assert "126 degree days under 16 °C" in text
    assert "227 degree days under 61 °F" in sentence(found, "imperial")


def test_carrots_sown_in_late_spring_do_not():
    assert "bolts_after_cold" not in rules(planned(request("carrot-early", sow_on=date(2027, 5, 1))).warnings)


@pytest.mark.parametrize(
    ("key", "cold", "warm"), [("celery", (4, 20), (6, 20)), ("kohlrabi", (3, 1), (5, 25))]
)
def test_cold_after_an_early_start_makes_some_crops_bolt(key, cold, warm):
    early = planned(request(key, sow_on=date(2027, *cold)), mean_c=9.0)
    late = planned(request(key, sow_on=date(2027, *warm)), mean_c=9.0)
    assert "bolts_when_chilled" in rules(early.warnings)
    assert "bolts_when_chilled" not in rules(late.warnings)


def test_a_young_cabbage_takes_up_no_cold_until_it_has_grown():
    asked = request("cabbage-summer", sow_on=date(2027, 3, 15))
    assert "bolts_when_chilled" not in rules(planned(asked).warnings)


def test_beet_is_judged_by_its_cool_days_and_not_by_the_mean():
    early = planned(request("beetroot-early", sow_on=date(2027, 2, 20)), mean_c=7.0)
    found = warning(early, "bolts_when_chilled")
    assert "under 12 °C by day" in sentence(found)
    assert found.values["cold_days"] >= 40


def test_heat_makes_lettuce_bolt_where_summers_are_hot():
    asked = request("lettuce", sow_on=date(2027, 6, 10))
    hot = planned(asked, mean_c=15.0, half_range_c=10.0)
    assert "bolts_in_heat" in rules(hot.warnings)
    assert "bolts_in_heat" not in rules(planned(asked).warnings)


@pytest.mark.parametrize(("daily_rain_mm", "bolts"), [(0.0, True), (12.0, False)])
def test_heat_on_ground_that_rain_keeps_wet_is_no_cause(daily_rain_mm, bolts):
    asked = request("lettuce", sow_on=date(2027, 6, 10))
    first, days = span(asked, NORTH, {}, TODAY)
    hot = yearly_wave(first, days, mean_c=15.0, half_range_c=10.0)
    rainy = replace(hot, rain_mm=np.full(hot.tmin_c.shape, daily_rain_mm))
    answer = plan(asked, NORTH, rainy, {}, TODAY)
    assert ("bolts_in_heat" in rules(answer.warnings)) == bolts
    if bolts:
        assert "with the ground dry" in sentence(warning(answer, "bolts_in_heat"))


def test_long_days_make_spinach_bolt_in_spring_but_not_in_autumn():
    spring = planned(request("spinach", sow_on=date(2027, 4, 15)))
    autumn = planned(request("spinach", sow_on=date(2027, 8, 20)))
    assert "bolts_in_long_days" in rules(spring.warnings)
    assert "bolts_in_long_days" not in rules(autumn.warnings)


def test_days_are_long_half_a_year_away_in_the_south():
    spring = planned(request("spinach", sow_on=date(2027, 10, 15)), site=SOUTH)
    assert "bolts_in_long_days" in rules(spring.warnings)


def test_days_are_never_long_near_the_equator():
    flat = {"mean_c": 20.0, "half_range_c": 1.0}
    answer = planned(request("spinach", sow_on=date(2027, 6, 1)), site=SiteFacts(2.0, 10.0, "UTC"), **flat)
    assert "bolts_in_long_days" not in rules(answer.warnings)


@pytest.mark.parametrize("key", ["potato-maincrop", "pea", "tomato"])
def test_crops_that_do_not_bolt_are_not_warned_of(key):
    answer = planned(request(key))
    assert not {each for each in rules(answer.warnings) if each.startswith("bolts_")}


@pytest.mark.parametrize("grown", crops(), ids=lambda each: each.key)
@pytest.mark.parametrize("area_m2", [0.3, 7.0, 250.0])
def test_every_crop_says_what_to_have_at_hand_in_both_units(grown, area_m2):
    found = supply_reasons(grown, area_m2)
    assert found
    for reason in found:
        assert reason.source
        for units in ("metric", "imperial"):
            text = sentence(reason, units)
            assert text.endswith(".")
            assert "None" not in text
            assert "1 seeds" not in text.replace("11 seeds", "")


def test_seed_is_said_by_number_weight_and_packet():
    seed, sand = supply_reasons(crop("carrot-early"), 3.0)
    assert sentence(seed).startswith(
        "Have about 2000 seeds at hand for 20 m of row, 2.4 g or 4 packets of about 500. "
    )
    assert "66 ft of row, 0.09 oz" in sentence(seed, "imperial")
    assert "about 300 ml of dry sand" in sentence(sand)
    assert "10.6 fl oz" in sentence(sand, "imperial")


def test_seed_that_does_not_keep_is_bought_fresh():
    assert "Buy fresh seed of parsnip: it keeps for about 1 year" in sentence(
        supply_reasons(crop("parsnip"), 3.0)[-1]
    )
    assert "buy_fresh_seed" not in rules(supply_reasons(crop("lettuce"), 3.0))


def test_a_plan_says_what_to_have_at_hand_where_it_knows_the_ground():
    assert "seed_needed" in rules(planned(request("carrot-early", area_m2=4.0)).outlook)
    assert "seed_needed" not in rules(planned(request("carrot-early")).outlook)


def test_what_is_sown_needs_no_more_seed():
    sown = {"s1/sow": done(date(2027, 1, 30))}
    assert "seed_needed" not in rules(planned(request("pea", area_m2=4.0), record=sown).outlook)


def test_more_ground_changes_no_job():
    small, large = (planned(request("leek", area_m2=area_m2)) for area_m2 in (2.0, 20.0))
    assert small.jobs == large.jobs
    assert small.outlook != large.outlook
