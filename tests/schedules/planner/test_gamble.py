"""Crops that ripen in some years only: the odds and the best day instead of 'no day is fit'."""

from datetime import timedelta

import numpy as np
import pytest

from schedules.planner import SiteFacts, sentence
from tests.schedules.planner.climates import job, planned, request, rules

COOL = {"mean_c": 8.5, "half_range_c": 6.0}
FAR_NORTH = SiteFacts(70.0, 20.0, "Europe/Oslo")


def risk(answer):
    return next(each for each in answer.warnings if each.rule == "risky_season")


@pytest.mark.parametrize("key", ["sweetcorn", "winter-squash", "courgette"])
def test_what_ripens_in_some_years_only_is_risky_and_not_impossible(key):
    answer = next(
        found
        for mean_c in np.arange(6.0, 11.0, 0.25)
        if (found := planned(request(key), mean_c=mean_c, half_range_c=6.0)).sow is not None
    )
    values = risk(answer).values
    assert 1 <= values["years"] < values["of_years"] == 10
    assert f"in about {values['years']} of 10 years" in sentence(risk(answer))
    assert answer.warnings[0].rule == "risky_season"
    assert job(answer, "sow").window.best == answer.sow.best


def test_the_odds_rise_with_the_warmth_until_there_is_no_risk():
    odds = []
    for mean_c in np.arange(6.0, 13.0, 0.25):
        answer = planned(request("sweetcorn"), mean_c=mean_c, half_range_c=6.0)
        risky = [each.values["years"] for each in answer.warnings if each.rule == "risky_season"]
        odds.append(risky[0] if risky else 10 * (answer.sow is not None))
    assert odds == sorted(odds)
    assert (odds[0], odds[-1]) == (0, 10)


def test_potatoes_are_grown_beyond_the_arctic_circle_at_a_risk():
    """They are, in the valleys and fjords of northern Norway (common knowledge, no published source)."""
    answer = planned(request("potato-early"), site=FAR_NORTH, mean_c=3.0, half_range_c=9.0)
    assert answer.sow is not None
    assert answer.sow.start.month in {5, 6}


def test_where_no_year_would_do_the_answer_stays_no():
    answer = planned(request("aubergine"), site=FAR_NORTH, mean_c=3.0, half_range_c=9.0)
    assert answer.sow is None
    assert rules(answer.warnings) == {"no_day_is_fit"}


def test_a_gamble_is_looked_for_and_lifted_in_its_own_year():
    for key in ("french-bean", "beetroot-early", "sweetcorn", "leek"):
        answer = planned(request(key), site=FAR_NORTH, mean_c=3.5, half_range_c=9.0)
        for each in answer.jobs:
            if each.kind in {"showing", "lift"}:
                assert each.window.by < answer.sow.best + timedelta(days=200)


def test_perennials_risk_their_rooting_and_not_their_gathering():
    found = [
        planned(request("asparagus"), site=FAR_NORTH, mean_c=mean_c, half_range_c=9.0)
        for mean_c in np.arange(2.0, 7.0, 0.25)
    ]
    text = next(sentence(risk(each)) for each in found if "risky_season" in rules(each.warnings))
    assert "root well enough to stand the winter" in text
