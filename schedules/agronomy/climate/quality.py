"""Readings that cannot be true, told apart from real extremes. Nothing here is fatal and nothing silent."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate.monthly import curve_on
from schedules.agronomy.climate.series import DailyWeather, FloatArray, Normals
from schedules.agronomy.climate.windows import Window, own_past

TEMPERATURES = ("tmin_c", "tmax_c")
# From memory: the WMO archive has 1825 mm of rain in a day (La Réunion 1966) and a gust of 113 m/s at most.
# Temperatures: no garden has seen them; common practice, no published source.
POSSIBLE: Mapping[str, tuple[float, float]] = {
    "tmin_c": (-60.0, 60.0),
    "tmax_c": (-60.0, 60.0),
    "rain_mm": (0.0, 2_000.0),
    "wind_ms": (0.0, 113.0),
}
MOST_DEVIATIONS = 6.0
LEAST_DEVIATION_C = 1.5
MOST_FROM_USUAL_C = 30.0
WET_TIMES = 9.0
WET_PCT = 95.0


@dataclass(frozen=True, slots=True)
class Suspect:
    """One reading set aside: what it was, the rule it broke, and the figures of that rule."""

    day: date
    quantity: str
    value: float
    rule: str
    values: Mapping[str, float | str] = field(default_factory=dict)


def impossible(day: date, quantity: str, value: float) -> Suspect | None:
    """Judge one reading by the bounds of the possible: -60 to 60 °C, 0 to 2000 mm a day, 0 to 113 m/s.

    Parameters
    ----------
    day : datetime.date
        Day of the reading.
    quantity : {"tmin_c", "tmax_c", "rain_mm", "wind_ms"}
        What was read, with its unit.
    value : float
        The reading; NaN is a gap and never suspect.
    """
    lowest, highest = POSSIBLE[quantity]
    if value < lowest:
        return Suspect(day, quantity, value, "under_the_possible", {"limit": lowest})
    if value > highest:
        return Suspect(day, quantity, value, "over_the_possible", {"limit": highest})
    return None


def crossed(day: date, tmin_c: float, tmax_c: float) -> tuple[Suspect, ...]:
    """Set both temperatures of a day aside whose minimum is above its maximum: either may be wrong."""
    if not tmin_c > tmax_c:
        return ()
    return (
        Suspect(day, "tmin_c", tmin_c, "minimum_above_maximum", {"other": tmax_c}),
        Suspect(day, "tmax_c", tmax_c, "minimum_above_maximum", {"other": tmin_c}),
    )


def far_from_past(
    days: DailyWeather, *, history: DailyWeather | None = None, usual: Normals | None = None
) -> tuple[Suspect, ...]:
    """Find readings far outside what the site itself has seen at that time of the year.

    Parameters
    ----------
    days : DailyWeather
        The readings to judge.
    history : DailyWeather or None
        All that is known of the site, ``days`` among it; ``days`` alone when None.
    usual : Normals or None
        The site's monthly normals.

    Returns
    -------
    tuple of Suspect
        By quantity, then by day. Rules: "far_from_own_past" (temperature, six robust deviations),
        "far_from_usual" (temperature, 30 °C, where the past is too short), "rain_far_from_own_past".

    Notes
    -----
    A temperature is compared with all readings within seven calendar days of it, of all years. Where these
    are a hundred at least (about seven years), it is set aside when it lies more than six robust standard
    deviations (1.4826 times the median absolute deviation, at least 1.5 °C) from their median. Otherwise, and
    where there are normals, it is set aside when it lies more than 30 °C from the usual curve. Rain is set
    aside above nine times the 95th percentile of the wet days within fourteen calendar days, where these are
    twenty at least and from seven years. The median and the percentile do not notice a few bad readings, so
    the readings judged may be part of the past they are judged by. A bad reading is found by its distance
    alone: one that is wrong by a few degrees is not.

    References
    ----------
    .. [1] Durre, I., Menne, M. J., Gleason, B. E., Houston, T. G. and Vose, R. S., Comprehensive automated
       quality assurance of daily surface observations, Journal of Applied Meteorology and Climatology 49,
       2010, 1615-1633 (from memory: the windows of 15 and 29 days, a hundred values, six deviations about a
       biweight mean, nine times the 95th percentile). The median, its deviation, the least deviation and the
       30 °C are our own: common practice, no published source.
    """
    past = history if history is not None else days
    return (
        *(
            suspect
            for quantity in TEMPERATURES
            for suspect in _far_temperatures(days, past, quantity, getattr(usual, quantity, None))
        ),
        *_far_rain(days, past),
    )


def _far_temperatures(
    days: DailyWeather, past: DailyWeather, quantity: str, monthly: FloatArray | None
) -> Iterator[Suspect]:
    values, dates = getattr(days, quantity), days.dates
    middle, deviation = own_past(past.dates, getattr(past, quantity), dates, Window.FORTNIGHT)
    deviation = np.maximum(deviation, LEAST_DEVIATION_C)
    for at in np.flatnonzero(np.abs(values - middle) > MOST_DEVIATIONS * deviation):
        figures = {
            "median": round(float(middle[at]), 1),
            "deviations": round(float(abs(values[at] - middle[at]) / deviation[at]), 1),
        }
        yield Suspect(dates[at].item(), quantity, float(values[at]), "far_from_own_past", figures)
    if monthly is None:
        return
    curve = curve_on(monthly, dates)
    for at in np.flatnonzero(np.isnan(middle) & (np.abs(values - curve) > MOST_FROM_USUAL_C)):
        figures = {"usual": round(float(curve[at]), 1), "limit": MOST_FROM_USUAL_C}
        yield Suspect(dates[at].item(), quantity, float(values[at]), "far_from_usual", figures)


def _far_rain(days: DailyWeather, past: DailyWeather) -> Iterator[Suspect]:
    wet = np.where(past.rain_mm > 0, past.rain_mm, np.nan)
    high: NDArray[np.float64] = own_past(past.dates, wet, days.dates, Window.MONTH, pct=WET_PCT)[0]
    for at in np.flatnonzero(days.rain_mm > WET_TIMES * high):
        figures = {"usual": round(float(high[at]), 1), "times": WET_TIMES}
        yield Suspect(
            days.dates[at].item(), "rain_mm", float(days.rain_mm[at]), "rain_far_from_own_past", figures
        )
