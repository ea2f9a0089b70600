from datetime import date, timedelta

import numpy as np
import pytest

from schedules.agronomy.climate import Ensemble
from schedules.planner import SiteCurves, plan, sentence, span
from tests.schedules.planner.climates import NORTH, SOUTH, planned, request, rules

TENDER, ROOTS = "runner-bean", "beetroot-maincrop"


def told(answer, rule):
    return next(each for each in answer.outlook if each.rule == rule)


def past_years(first, days, *, frosts=(), cold=(), members=8):
    """Members that are past years: mild nights, and the nights named, by member and date."""
    at = np.datetime64(first) + np.arange(days)
    day_of_year = (at - at.astype("datetime64[Y]")).astype(int)
    mean = 10 - 6 * np.cos(2 * np.pi * (day_of_year - 20) / 365.25)
    lows = np.repeat((mean - 3)[None, :], members, axis=0)
    for nights, low_c in ((frosts, -1.0), (cold, -5.0)):
        for member, day in nights:
            lows[member, (day - first).days] = low_c
    return Ensemble(first, lows, np.maximum(lows, mean) + 6, "years", members, 1.3, None, 0)


def planned_over(asked, today=date(2027, 2, 1), **nights):
    first, days = span(asked, NORTH, {}, today)
    return plan(asked, NORTH, past_years(first, days, **nights), {}, today)


def test_a_tender_crop_has_the_dates_of_the_last_frosts_and_its_odds():
    springs = [(member, date(2027, 5, 10 + member)) for member in range(8)]
    answer = planned_over(request("tomato", sow_on=date(2027, 5, 15)), frosts=springs)
    values = told(answer, "last_frosts_of_spring").values
    assert values["middle_on"] == "2027-05-14"
    assert values["early_on"] < values["middle_on"] < values["late_on"]
    # Planted on 15 May: frost of that night or later in the members of 15, 16 and 17 May.
    assert values["odds_pct"] == round(3 / 8 * 100)
    assert values["years_pct"] == 100


def test_years_without_frost_are_told_as_a_share():
    springs = [(member, date(2027, 5, 10)) for member in range(2)]
    answer = planned_over(request("tomato", sow_on=date(2027, 5, 20)), frosts=springs)
    reason = told(answer, "last_frosts_of_spring")
    assert reason.values["years_pct"] == 25
    assert reason.values["odds_pct"] == 0
    assert "of the 25 % of years that have any" in sentence(reason)


def test_without_any_frost_there_is_nothing_to_say():
    assert not rules(planned_over(request("tomato", sow_on=date(2027, 5, 15))).outlook) & {
        "last_frosts_of_spring",
        "first_frosts_of_autumn",
    }


def test_a_tender_crop_that_stands_in_autumn_is_picked_before_the_first_frost():
    autumns = [(member, date(2027, 10, 1 + member)) for member in range(8)]
    answer = planned_over(
        request("tomato", sow_on=date(2027, 6, 20), variety_days_min=100, variety_days_max=160),
        frosts=autumns,
    )
    reason = told(answer, "first_frosts_of_autumn")
    assert reason.values["early_on"] == "2027-10-02"
    assert sentence(reason).startswith("Cut the last fruits before 2 October 2027") or sentence(
        reason
    ).startswith("Pick the last fruits before 2 October 2027")


def test_a_hardy_crop_hears_nothing_of_last_frosts():
    springs = [(member, date(2027, 5, 10)) for member in range(8)]
    answer = planned_over(request(ROOTS, sow_on=date(2027, 5, 1)), frosts=springs)
    assert "last_frosts_of_spring" not in rules(answer.outlook)


def winter(crop_key, years, **changes):
    cold = [(member, date(2027, 12, day)) for member in range(years) for day in (10, 20)]
    asked = request(crop_key, sow_on=date(2027, 6, 1), variety_days_min=140, variety_days_max=150, **changes)
    return planned_over(asked, cold=cold)


def test_beet_is_lifted_before_a_winter_that_freezes_its_ground():
    reason = told(winter(ROOTS, 8), "winter_lift_before")
    # The second night at -5 °C, in every year.
    assert reason.values["early_on"] == "2027-12-20"
    assert reason.values["winters_pct"] == 100
    assert "straw" not in sentence(reason)


def test_carrots_may_stay_under_straw():
    assert "15 cm of straw" in sentence(told(winter("carrot-maincrop", 8), "winter_lift_before"))
    assert "6 in of straw" in sentence(told(winter("carrot-maincrop", 8), "winter_lift_before"), "imperial")


def test_parsnips_stay_and_are_dug_as_wanted():
    text = sentence(told(winter("parsnip", 8), "winter_leave_and_dig"))
    assert "Leave the roots in the ground" in text
    assert "bring some in before a hard frost" in text
    assert "Cold sweetens them" in text


def test_leeks_stay_and_nothing_is_said_of_sugar():
    text = sentence(told(winter("leek", 8), "winter_leave_and_dig"))
    assert "sweetens" not in text


def test_one_cold_winter_in_eight_is_mild():
    reason = told(winter(ROOTS, 1), "winter_is_mild")
    assert reason.values["winters_pct"] == round(100 / 8)
    assert "be ready to lift" in sentence(reason)


def test_where_no_winter_freezes_the_ground_that_is_said():
    assert "in none of the winters" in sentence(told(winter(ROOTS, 0), "winter_is_mild"))


def test_one_cold_night_is_not_enough():
    cold = [(member, date(2027, 12, 10)) for member in range(8)]
    asked = request(ROOTS, sow_on=date(2027, 6, 1), variety_days_min=140, variety_days_max=150)
    assert "winter_lift_before" not in rules(planned_over(asked, cold=cold).outlook)


def test_roots_eaten_in_summer_hear_nothing_of_winter():
    answer = planned(request("beetroot-early", sow_on=date(2027, 4, 10)))
    assert not {each for each in rules(answer.outlook) if each.startswith("winter")}


def test_onions_and_what_is_picked_hear_nothing_of_digging():
    for key in ("onion-sets", "kale", "runner-bean"):
        assert not {each for each in rules(planned(request(key)).outlook) if each.startswith("winter")}


@pytest.mark.parametrize("site", [NORTH, SOUTH], ids=["north", "south"])
def test_both_hemispheres_have_their_frosts(site):
    sow_on = date(2027, 6, 5) if site is NORTH else date(2027, 12, 5)
    before = sow_on - timedelta(days=90)
    answer = planned(request("tomato", sow_on=sow_on, not_before=before), site=site, today=before)
    frosts = [each for each in answer.outlook if each.rule == "last_frosts_of_spring"]
    assert frosts
    month = date.fromisoformat(frosts[0].values["middle_on"]).month
    assert month in ((2, 3, 4, 5) if site is NORTH else (8, 9, 10, 11))


def test_every_reason_has_a_source_and_reads_in_both_units():
    for key in (TENDER, "tomato", "potato-early", ROOTS, "carrot-maincrop", "parsnip", "leek"):
        for reason in planned(request(key)).outlook:
            assert reason.source
            for units in ("metric", "imperial"):
                text = sentence(reason, units)
                assert text[0].isupper()
                assert text.endswith(".")
                if units == "imperial":
                    assert "°C" not in text


def test_shared_work_changes_nothing():
    today = date(2027, 2, 1)
    for key in ("tomato", ROOTS):
        asked = request(key)
        first, days = span(asked, NORTH, {}, today)
        climate = past_years(first, days, frosts=[(0, date(2027, 5, 1))], cold=[(1, date(2027, 12, 1))])
        shared = SiteCurves(climate, NORTH)
        once = plan(asked, NORTH, climate, {}, today, shared)
        assert (
            once == plan(asked, NORTH, climate, {}, today, shared) == plan(asked, NORTH, climate, {}, today)
        )


def test_a_frost_that_lies_behind_today_warns_nobody():
    sow_on = date(2027, 6, 20)
    answer = planned(request("tomato", sow_on=sow_on, not_before=sow_on), today=sow_on)
    assert "last_frosts_of_spring" not in [each.rule for each in answer.outlook]


def test_frost_before_the_crop_is_ready_asks_for_fleece_and_not_for_an_early_lifting():
    answer = planned(request("potato-early"), mean_c=4.0, half_range_c=9.0)
    reason = told(answer, "first_frosts_of_autumn")
    assert reason.values["ready_on"] > reason.values["early_on"]
    text = sentence(reason)
    assert text.startswith("Have fleece at hand from ")
    assert "to be safe" not in text


def test_a_day_chosen_past_every_frost_is_not_warned_of_the_last_ones():
    answer = planned(request("sweetcorn"))
    assert "last_frosts_of_spring" not in {each.rule for each in answer.outlook}


def test_a_sowing_too_late_for_any_sort_is_not_told_to_choose_a_quick_one():
    asked = request("parsnip", sow_on=date(2027, 8, 20))
    found = {each.rule for each in planned(asked, mean_c=7.5, half_range_c=6.0).warnings}
    assert "too_late_to_grow" in found
    assert "season_is_short" not in found
