"""A verdict reads as plain sentences with its figures in them."""

import json

import pytest

from plots.rotation import explain, judge, sentence
from tests.plots.rotation.ground import box, use, wanted


def test_a_broken_rest_names_area_crop_seasons_and_the_way_out() -> None:
    text = sentence(judge(wanted(), [use(2023, on=box(3, 0, 7, 1.2))], record_since=2010))

    assert text.startswith("1.20 m² (25 %) of this ground carried the carrot family (Parsnip in 2023).")
    assert "1 full season lies between, under the minimum of 3." in text
    assert "The ground is free for this family from 2029." in text


def test_no_sentence_promises_more_than_a_lower_risk() -> None:
    assert "does not remove it" in sentence(judge(wanted(), [use(2024)], record_since=2010))


def test_a_short_rest_says_that_the_minimum_is_met() -> None:
    text = sentence(judge(wanted(), [use(2021)], record_since=2010))

    assert "3 full seasons lie between: the minimum of 3 is met, the recommended 5 is not." in text


def test_a_minimum_that_nobody_recorded_is_not_called_met() -> None:
    text = sentence(judge(wanted(), [use(2021)], record_since=2024))

    assert "the minimum of 3 is met as far as is on record" in text


def test_a_coarse_record_only_says_may() -> None:
    text = sentence(judge(wanted(), [use(2024, coarse=True)], record_since=2010))

    assert text.startswith("Up to 4.80 m² (100 %) of this ground may have carried the carrot family")


def test_missing_history_is_never_called_rested() -> None:
    texts = [sentence(judge(wanted(), [], record_since=since)) for since in (None, 2023)]

    assert all("not count as rested" in text for text in texts)
    assert "begins in 2023, 2 full seasons before 2025" in texts[1]


def test_what_the_tolerance_left_out_is_stated() -> None:
    text = sentence(judge(wanted(), [use(2024, on=box(0, -1, 4, 0.04))], record_since=2010))

    assert "An overlap of 0.16 m² is left out" in text
    assert "strips under 5 cm wide, and less than 0.05 m² that is also under 5 % of the patch" in text


def test_a_family_without_a_rule_says_that_it_is_not_judged() -> None:
    assert "so it is not judged" in sentence(judge(wanted(family="Poaceae"), [], record_since=2010))


@pytest.mark.parametrize(
    ("past", "since"), [([use(2024)], 2010), ([use(2020)], 2010), ([], None), ([], 2024), ([], 2010)]
)
def test_a_sentence_survives_being_stored_as_data(past: list, since: int | None) -> None:
    verdict = judge(wanted(), past, record_since=since)
    stored = json.loads(json.dumps(verdict.values))

    assert explain(verdict.rule, stored) == sentence(verdict)


def test_seasons_are_written_the_way_the_site_writes_them() -> None:
    verdict = judge(wanted(), [use(2023)], record_since=2010)

    text = explain(verdict.rule, verdict.values, season_name=lambda season: f"{season}/{season % 100 + 1}")

    assert "Parsnip in 2023/24" in text
    assert "from 2029/30" in text
