"""How lively slugs may be in a night: from its warmth, its wind and how wet the ground is."""

from enum import StrEnum

# Oregon State University, Slug portal (read): slugs like 40 to 70 °F, best 60 °F, wind under 5 miles an hour,
# light rain; they dislike wind over 5 to 10 miles an hour, dryness, under 34 °F and driving rain.
MILD_C = (4.4, 21.1)
FROZEN_C = 1.0
HOT_C = 29.4
# Five and ten miles an hour where slugs are; at 10 m the wind is taken to blow twice as hard: common
# practice, no published source (a logarithmic profile over short grass gives 1.9 times half a metre's).
STILL_MS, WINDY_MS = 2 * 2.2, 2 * 4.5
WET_MM = 0.5

SOURCE = (
    "Oregon State University, slug portal: 40 to 70 °F, wind under 5 miles an hour, damp; still feeding at "
    "1 °C: Folia Malacologica 19(4), 2011, 267-271 (abstract); half a millimetre of rain for a damp surface: "
    "common practice, no published source"
)


class Liveliness(StrEnum):
    """How many slugs may be out."""

    MANY = "many"
    SOME = "some"
    FEW = "few"


def slug_night(mean_c: float, wind_ms: float, rain_mm: float) -> Liveliness:
    """Say how lively slugs may be.

    Parameters
    ----------
    mean_c : float
        Mean air temperature of the night. [°C]
    wind_ms : float
        Mean wind at 10 m. [m/s], 0 or more
    rain_mm : float
        Rain of the day before and of the night together. [mm], 0 or more

    Returns
    -------
    Liveliness
        Few where the ground is dry, the night freezes or is hot, or the wind dries it; many where it is mild,
        wet and still; some between.

    Raises
    ------
    ValueError
        When a value is NaN: an unknown night is not a quiet one.

    Notes
    -----
    Limits read off what growers are told slugs like; the way they are put together is this project's own.
    A model of night activity at five sites in Great Britain was right on 73 % of nights (project report 53 of
    the Agriculture and Horticulture Development Board): take no rating for certain. Dew
    wets ground that no rain fell on.

    References
    ----------
    .. [1] Oregon State University, College of Agricultural Sciences, Slug portal: vulnerabilities and
       preferences.
    """
    if any(value != value for value in (mean_c, wind_ms, rain_mm)):  # NaN is unknown
        raise ValueError("slug night: temperature, wind and rain must be known; say 'not known' otherwise")
    if not FROZEN_C < mean_c < HOT_C or rain_mm < WET_MM or wind_ms > WINDY_MS:
        return Liveliness.FEW
    is_mild = MILD_C[0] <= mean_c <= MILD_C[1]
    return Liveliness.MANY if is_mild and wind_ms <= STILL_MS else Liveliness.SOME
