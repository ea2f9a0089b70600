"""Areas and lengths in words."""

import pytest

from plots.measures import area_words, length_words


@pytest.mark.parametrize(
    ("area_m2", "words"),
    [
        (6.0, "6 m²"),  # a bed: nobody says a quarter of a pole
        (12.65, "12.65 m², about ½ pole"),
        (25.29, "25.29 m², about 1 pole"),
        (160, "160 m², about 6½ poles"),
        (125, "125 m², about 5 poles"),
    ],
)
def test_an_area_is_said_in_both_measures(area_m2: float, words: str) -> None:
    assert area_words(area_m2) == words


@pytest.mark.parametrize(("units", "words"), [("metric", "1.2 m"), ("imperial", "3 ft 11 in")])
def test_a_length_is_said_in_the_readers_units(units: str, words: str) -> None:
    assert length_words(1.2, units) == words
