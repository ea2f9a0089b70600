import pytest

from schedules.agronomy.frost_words import frost_word


@pytest.mark.parametrize(
    ("lowest_c", "word"),
    [
        (0.1, "no frost"),
        (0.0, "freezing point"),
        (-0.04, "freezing point"),
        (-0.1, "slight frost"),
        (-3.5, "slight frost"),
        (-3.6, "moderate frost"),
        (-6.4, "moderate frost"),
        (-6.5, "severe frost"),
        (-11.5, "severe frost"),
        (-11.6, "very severe frost"),
    ],
)
def test_british_words_on_a_still_night(lowest_c, word):
    # Meteorological Glossary 1991, as quoted by a former forecaster.
    assert frost_word(lowest_c).word == word


@pytest.mark.parametrize(
    ("lowest_c", "word"),
    [
        (-0.4, "slight frost"),
        (-0.5, "moderate frost"),
        (-2.4, "moderate frost"),
        (-2.5, "severe frost"),
        (-5.5, "severe frost"),
        (-5.6, "very severe frost"),
    ],
)
def test_british_words_in_wind_of_ten_knots(lowest_c, word):
    assert frost_word(lowest_c, wind_ms=10 * 1852 / 3600).word == word
    assert frost_word(lowest_c, wind_ms=5.1).word == frost_word(lowest_c).word


@pytest.mark.parametrize(
    ("lowest_f", "word"),
    [
        (37, "no frost"),
        (36, "frost advisory"),
        (33, "frost advisory"),
        (32, "freeze"),
        (29, "freeze"),
        (28, "hard freeze"),
        (10, "hard freeze"),
    ],
)
def test_american_words(lowest_f, word):
    # National Weather Service offices: advisory 33 to 36 °F, freeze 32 °F or less, hard freeze 28 °F or less.
    assert frost_word((lowest_f - 32) / 1.8, words="us").word == word


@pytest.mark.parametrize(
    ("lowest_c", "word"),
    [
        (-0.1, "light frost"),
        (-4.1, "moderate frost"),
        (-10.1, "strong frost"),
        (-15.1, "very strong frost"),
    ],
)
def test_german_words(lowest_c, word):
    # Deutscher Wetterdienst, as quoted.
    assert frost_word(lowest_c, words="de").word == word


def test_the_number_stays_beside_the_word():
    found = frost_word(-2.34)
    assert (found.lowest_c, found.word) == (-2.34, "slight frost")
    assert "Glossary" in found.source


def test_an_unknown_night_has_no_word():
    with pytest.raises(ValueError, match="lowest_c"):
        frost_word(float("nan"))


def test_unknown_words_are_named():
    with pytest.raises(ValueError, match="'fr'"):
        frost_word(-1.0, words="fr")
