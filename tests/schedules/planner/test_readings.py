from datetime import date

import pytest

from schedules.agronomy.climate import Suspect, WrongUnit
from schedules.planner import sentence, set_aside_warnings, unit_warnings
from schedules.planner.sentences.readings import WHY
from schedules.weather_csv import suspect_line
from schedules.weather_csv.wording import wrong_unit_line

FIGURES = {"limit": -60.0, "median": 20.6, "deviations": 48.1, "usual": 8.0, "times": 9.0, "flag": "I"}
FIGURES |= {"meaning": "failed the check of internal consistency"}


def suspects(count, quantity="tmin_c", value=-57.8, rule="far_from_own_past"):
    return [Suspect(date(1936, 7, day), quantity, value, rule, FIGURES) for day in range(1, count + 1)]


def told(count, units="metric", **of):
    (reason,) = set_aside_warnings(suspects(count, **of))
    return sentence(reason, units)


def test_nothing_set_aside_is_no_warning():
    assert set_aside_warnings([]) == []


def test_one_reading_is_one_reading():
    assert told(1) == (
        "Check 1 reading of the weather that was left out: minimum -57.8 °C on 1 July 1936, far from "
        "anything the record has at that time of the year. The plan has a gap instead of it."
    )


@pytest.mark.parametrize(("count", "more"), [(2, None), (3, None), (5, "; and 2 more.")])
def test_the_first_three_are_named_and_the_rest_counted(count, more):
    text = told(count)
    assert text.startswith(f"Check {count} readings")
    assert text.count("on ") == min(count, 3)
    assert ("more" in text) == bool(more)
    assert more is None or more in text


@pytest.mark.parametrize(
    ("quantity", "value", "metric", "imperial"),
    [
        ("tmin_c", -57.8, "minimum -57.8 °C", "minimum -72 °F"),
        ("tmax_c", 71.0, "maximum 71 °C", "maximum 160 °F"),
        ("rain_mm", 2540.0, "rain 2540 mm", "rain 100 in"),
    ],
)
def test_a_reading_is_told_in_the_readers_units(quantity, value, metric, imperial):
    assert metric in told(1, quantity=quantity, value=value)
    assert imperial in told(1, "imperial", quantity=quantity, value=value)


@pytest.mark.parametrize("rule", WHY)
def test_every_rule_has_words_in_the_plan_and_at_the_terminal(rule):
    assert WHY[rule] in told(1, rule=rule)
    assert suspect_line(suspects(1, rule=rule)[0]).startswith("1936-07-01, minimum -57.8 °C: ")


def test_a_rule_without_words_is_a_fault_at_the_terminal():
    with pytest.raises(ValueError, match="no sentence"):
        suspect_line(suspects(1, rule="unheard_of")[0])


@pytest.mark.parametrize(
    ("rule", "values"),
    [
        ("far_from_usual_unless_swapped", {"far_c": 40.0, "near_c": 3.0}),
        ("hotter_than_any_record", {"hot_days": 200.0, "days": 365.0}),
        ("winter_too_warm", {"mean_c": 39.0}),
        ("summer_too_cold", {"mean_c": -8.0}),
        ("never_warm", {"high_c": -3.0}),
    ],
)
def test_a_wrong_unit_says_what_to_do(rule, values):
    assert "Name the columns tmin_f and tmax_f" in wrong_unit_line(WrongUnit("c", rule, values))
    assert "look to be °C, while the headings say °F" in wrong_unit_line(WrongUnit("f", rule, values))
    (reason,) = unit_warnings(WrongUnit("c", rule, values), 1)
    assert "the temperatures of 1 day were left out" in sentence(reason)
