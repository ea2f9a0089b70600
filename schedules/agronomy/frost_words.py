"""Words for frost, by country; the number always stands beside the word."""

import math
from dataclasses import dataclass

MS_PER_KNOT = 1852 / 3600
WINDY_KT = 10.0
HARD_FREEZE_C = (28.0 - 32.0) / 1.8
FREEZE_C = 0.0
ADVISORY_C = (36.0 - 32.0) / 1.8

# Coldest reading of each word, mildest first; what lies below the last has the word after it.
_CALM = ((-3.5, "slight frost"), (-6.4, "moderate frost"), (-11.5, "severe frost"))
_WINDY = ((-0.4, "slight frost"), (-2.4, "moderate frost"), (-5.5, "severe frost"))
_GERMAN = ((-4.0, "light frost"), (-10.0, "moderate frost"), (-15.0, "strong frost"))

SOURCES = {
    "uk": "Meteorological Glossary 1991 (second-hand): slight to very severe, sooner in wind of 10 knots",
    "us": "National Weather Service: frost advisory 33 to 36 °F, freeze at 32 °F, hard freeze at 28 °F",
    "de": "Deutscher Wetterdienst (as quoted): light to -4 °C, moderate to -10 °C, strong to -15 °C",
}
NO_FROST, AT_FREEZING = "no frost", "freezing point"


@dataclass(frozen=True, slots=True)
class FrostWord:
    """A word for a night and the reading it stands for.

    Parameters
    ----------
    word : str
        As the country's service says it.
    lowest_c : float
        Lowest air temperature. [°C]
    source : str
        Whose classes they are.
    """

    word: str
    lowest_c: float
    source: str


def frost_word(lowest_c: float, *, words: str = "uk", wind_ms: float | None = None) -> FrostWord:
    """Put a night's lowest temperature into words.

    Parameters
    ----------
    lowest_c : float
        Lowest air temperature in a weather screen. [°C]
    words : {"uk", "us", "de"}
        Whose classes to use.
    wind_ms : float, optional
        Mean wind at that time. [m/s] In British usage wind of 10 knots or more moves every class towards the
        milder readings; unknown wind counts as less, for frosty nights are mostly still.

    Returns
    -------
    FrostWord

    Raises
    ------
    ValueError
        When ``words`` is unknown or ``lowest_c`` is NaN.

    Notes
    -----
    Readings are taken to a tenth of a degree, as the classes are. In Great Britain 0.0 °C itself is no air
    frost, whereas this project counts it when it dates frosts; it has the words "freezing point" here. In the
    German classes a reading on a border has the milder word, which nothing that was read decides.
    """
    if math.isnan(lowest_c):
        raise ValueError("frost word: lowest_c is not known; say so instead")
    if words not in SOURCES:
        raise ValueError(f"frost word: words {words!r} is not one of {', '.join(SOURCES)}")
    reading = round(lowest_c, 1) + 0.0  # no -0.0
    word = _american(reading) if words == "us" else _european(reading, words, wind_ms)
    return FrostWord(word, lowest_c, SOURCES[words])


def _european(reading: float, words: str, wind_ms: float | None) -> str:
    if reading > 0:
        return NO_FROST
    if reading == 0:
        return AT_FREEZING
    if words == "de":
        return next((word for least, word in _GERMAN if reading >= least), "very strong frost")
    is_windy = wind_ms is not None and wind_ms >= WINDY_KT * MS_PER_KNOT
    classes = _WINDY if is_windy else _CALM
    return next((word for least, word in classes if reading >= least), "very severe frost")


def _american(reading: float) -> str:
    if reading <= round(HARD_FREEZE_C, 1):
        return "hard freeze"
    if reading <= FREEZE_C:
        return "freeze"
    return "frost advisory" if reading <= round(ADVISORY_C, 1) else NO_FROST
