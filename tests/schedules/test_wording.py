"""Dates and lengths in words."""

from datetime import date, timedelta

import pytest

from schedules.titles import short_length
from schedules.wording import day_words, when_words

THURSDAY = date(2027, 4, 8)


def days(count: int) -> date:
    return THURSDAY + timedelta(days=count)


@pytest.mark.parametrize(
    ("start", "by", "words"),
    [
        (-9, -4, "late by 4 days"),
        (-9, -1, "late by 1 day"),
        (-9, 0, "today at the latest"),
        (-9, 1, "by tomorrow"),
        (0, 3, "by Sunday"),
        (-2, 7, "by 15 April"),
        (1, 30, "from tomorrow"),
        (4, 30, "from Monday"),
        (8, 30, "from 16 April"),
    ],
)
def test_a_window_reads_as_a_person_would_say_it(start: int, by: int, words: str) -> None:
    assert when_words(start=days(start), by=days(by), today=THURSDAY) == words


def test_a_day_far_off_carries_its_year() -> None:
    assert day_words(date(2028, 3, 1), today=THURSDAY) == "1 March 2028"


@pytest.mark.parametrize(
    ("length_mm", "units", "words"),
    [
        (25, "metric", "25 mm"),
        (25.4, "imperial", "1 in"),
        (60, "imperial", "2 1/4 in"),
        (2, "imperial", "1/8 in"),
    ],
)
def test_spacings_read_in_the_readers_units(length_mm: float, units: str, words: str) -> None:
    assert short_length(length_mm, units=units) == words
