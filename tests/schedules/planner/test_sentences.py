import ast
from datetime import date
from pathlib import Path

import pytest

import schedules.planner
from plots.crops import crops
from schedules.planner import Cover, Reason, caution_source, caution_text, sentence
from schedules.planner.sentences import (
    SENTENCES,
    bounds,
    ground,
    growing,
    readings,
    sentences,
    tending,
    threats,
    warning,
    watering,
)
from schedules.planner.sentences.wording import inch_words
from schedules.planner.types import Kind
from tests.schedules.planner.climates import job, planned, request

PACKAGE = Path(schedules.planner.__file__).parent


def literals() -> set[str]:
    """Every string the rules are written with."""
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in PACKAGE.rglob("rules/*.py")]
    return {
        node.value
        for tree in trees
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def rule_names() -> set[str]:
    """Every rule given by name where a reason is made."""
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in PACKAGE.rglob("rules/*.py")]
    calls = [node for tree in trees for node in ast.walk(tree) if isinstance(node, ast.Call)]
    return {
        call.args[0].value
        for call in calls
        if getattr(call.func, "id", "") in {"Reason", "practice"} and isinstance(call.args[0], ast.Constant)
    }


def many_plans():
    days = [None, date(2027, 2, 10), date(2027, 7, 20), date(2027, 9, 15)]
    for crop in crops():
        for day in days:
            for cover in (Cover.NONE, Cover.CLEAR, Cover.FLEECE):
                yield planned(
                    request(
                        crop.key, sow_on=day, cover=cover, container_height_cm=90, same_family_last_year=True
                    )
                )
        yield planned(request(crop.key), mean_c=-12.0)
        yield planned(request(crop.key), mean_c=18.0, half_range_c=20.0)


def reasons_of(answer):
    yield from answer.warnings
    for each in answer.jobs:
        yield each.reason
        yield from each.notes


def test_every_named_rule_has_a_sentence():
    assert rule_names() <= set(SENTENCES)


def test_no_sentence_is_without_its_rule():
    assert set(SENTENCES) - literals() == {"plan_fault"}


def test_every_reason_of_many_plans_reads_as_plain_sentences():
    for answer in many_plans():
        for reason in reasons_of(answer):
            for units in ("metric", "imperial"):
                text = sentence(reason, units)
                assert text[0].isupper(), text
                assert text.endswith("."), text
                assert "!" not in text
                assert "nan" not in text.lower().split()
                assert text.count(". ") <= 1, text


def test_every_reason_of_many_plans_has_a_source():
    assert all(reason.source for answer in many_plans() for reason in reasons_of(answer))


def test_imperial_readers_meet_no_metric_unit():
    answer = planned(request("carrot-maincrop", container_height_cm=90))
    text = " ".join(sentence(reason, "imperial") for reason in reasons_of(answer))
    assert not {"mm", "cm", "°C"} & set(text.replace(",", " ").replace(".", " ").split())


@pytest.mark.parametrize(
    ("millimetres", "words"),
    [
        (3, "1/8 in"),
        (6, "1/4 in"),
        (25.4, "1 in"),
        (40, "1 1/2 in"),
        (150, "6 in"),
        (305, "12 in"),
        (381, "15 in"),
    ],
)
def test_inches_come_as_a_rule_has_them(millimetres, words):
    """25.4 mm to the inch, exact by definition; 40 mm is 1.57 in."""
    assert inch_words(millimetres) == words


def test_depth_and_warmth_are_turned_into_inches_and_fahrenheit():
    sow = job(planned(request(sow_on=date(2027, 5, 1))), "sow")
    assert "1/2 in deep in rows 6 in apart" in sentence(sow.reason, "imperial")
    assert "against 46 °F wanted" in sentence(sow.reason, "imperial")


def test_a_difference_of_warmth_is_not_moved_by_32():
    reason = job(planned(), "warm").reason
    assert "adds about 7.2 °F" in sentence(reason, "imperial")


def test_a_reason_over_past_years_counts_them():
    values = job(planned(), "weed-1").reason.values | {"basis": "years", "basis_years": 12}
    assert sentence(Reason("weed_the_rows", values, "x")).endswith(
        "round 1 of 3. The dates are reckoned over 12 past years of this site."
    )


def test_a_rule_without_a_sentence_is_an_error():
    with pytest.raises(KeyError, match="no_such_rule"):
        sentence(Reason("no_such_rule", {}, ""))


def test_a_mistyped_value_is_named():
    with pytest.raises(TypeError, match="spacing_mm"):
        sentence(Reason("thin_to_spacing", {"spacing_mm": "wide"}, ""))


def test_the_flight_is_never_put_as_certain():
    text = sentence(job(planned(), "cover").reason)
    assert "may come sooner or later" in text


@pytest.mark.parametrize("crop", crops(), ids=lambda crop: crop.key)
def test_every_caution_of_a_crop_has_words_and_a_source(crop):
    codes = {code for each in planned(request(crop.key)).jobs for code in each.cautions}
    assert all(caution_text(code).endswith(".") and caution_source(code) for code in codes)


def test_every_caution_in_the_crop_facts_goes_with_some_job():
    from schedules.planner.cautions import cautions_for

    for crop in crops():
        fact = crop.get("cautions")
        told = {code for kind in Kind for code in cautions_for(crop, kind)}
        # Water is given to every crop, so that its caution stands in none of their facts.
        assert told == {"water-butts"} | (set(str(fact.value).split(";")) if fact else set())


def test_no_two_rules_share_a_name():
    modules = (bounds, ground, growing, readings, tending, threats, warning, watering)
    assert len(SENTENCES) == sum(len(module.SENTENCES) for module in modules)


def test_reasons_read_together_say_once_what_they_rest_on():
    sowing = job(planned(request("french-bean")), "sow")
    texts = sentences((sowing.reason, *sowing.notes, sowing.reason))
    assert " ".join(texts).count("reckoned from") == 1
    assert len(texts) == len(set(texts))


def test_without_its_basis_no_sentence_is_left_hanging():
    for key in ("carrot-early", "leek", "tomato", "pea"):
        answer = planned(request(key))
        for each in (*answer.warnings, *answer.outlook, *(one.reason for one in answer.jobs)):
            text = sentence(each, says_basis=False)
            assert "reckoned" not in text
            assert text.endswith(".")
            assert "are ." not in text
