"""A whole file of temperatures in the wrong unit: Fahrenheit called Celsius, or Celsius called Fahrenheit."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate.monthly import curve_on
from schedules.agronomy.climate.series import FloatArray, Normals, month_of

Unit = Literal["c", "f"]
DAYS_NEEDED = 10
FAR_C, NEAR_SHARE = 10.0, 1 / 3
# From memory: the WMO archive's hottest day is 56.7 °C, and no night on record stayed above 45 °C.
HOTTEST_DAY_C, HOTTEST_NIGHT_C = 57.0, 45.0
HOT_DAYS, HOT_SHARE = 3, 0.02
MILD_LATITUDE, WARMEST_WINTER_C = 35.0, 25.0
COLD_LATITUDE, COLDEST_SUMMER_C = 60.0, 3.0
TREELESS_C, TREELESS_PCT = 10.0, 99.0
DECEMBER_TO_FEBRUARY, JUNE_TO_AUGUST = (11, 0, 1), (5, 6, 7)


@dataclass(frozen=True, slots=True)
class WrongUnit:
    """Why temperatures are taken to be in the unit that they do not state, with the figures of the rule."""

    stated: Unit
    rule: str
    values: Mapping[str, float] = field(default_factory=dict)


def wrong_unit(
    tmin_c: FloatArray,
    tmax_c: FloatArray,
    dates: NDArray[np.datetime64],
    *,
    stated: Unit,
    usual: Normals | None = None,
    latitude: float | None = None,
) -> WrongUnit | None:
    """Tell whether a file states one unit of temperature and holds the other.

    Parameters
    ----------
    tmin_c, tmax_c : ndarray, shape (n,)
        All readings of the file as its heading has them, converted to °C. [°C], NaN where missing.
    dates : ndarray, shape (n,)
        Their days, datetime64[D], in any order.
    stated : {"c", "f"}
        The unit of the heading.
    usual : Normals or None
        The site's own monthly means, from normals or from what was read in before.
    latitude : float or None
        Degrees, south negative.

    Returns
    -------
    WrongUnit or None
        None when nothing speaks against the heading, or fewer than three days are there.

    Notes
    -----
    Our construction; no published source. Against what is usual: ten days or more lie 10 °C from the site's
    usual on average, and read in the other unit they lie less than a third as far. By itself, called °C:
    three days and one in fifty have a night above 45 °C or a day above 57 °C, hotter than any on record; or
    midwinter beyond 35° of latitude is above 25 °C. By itself, called °F: in a whole year not one day in a
    hundred passes 10 °C, so that no tree would stand; or summer within 60° of latitude is under 3 °C. A
    record of a hot desert, with nights of 25 °C and days of 45 °C, breaks none of these. A few weeks of
    winter in °F, with no latitude and no normals, look like a hot place and pass.
    """
    mean_c = (tmin_c + tmax_c) / 2
    if stated == "c":
        found = _too_hot(tmin_c, tmax_c) or _warm_winter(mean_c, dates, latitude)
    else:
        found = _treeless(tmax_c, dates) or _cold_summer(mean_c, dates, latitude)
    found = _against_usual(mean_c, dates, stated, usual) or found
    return WrongUnit(stated, *found) if found else None


_Found = tuple[str, dict[str, float]]


def _against_usual(
    mean_c: FloatArray, dates: NDArray[np.datetime64], stated: Unit, usual: Normals | None
) -> _Found | None:
    known = np.isfinite(mean_c)
    if usual is None or known.sum() < DAYS_NEEDED:
        return None
    curve = curve_on((usual.tmin_c + usual.tmax_c) / 2, dates[known])
    other = (mean_c[known] - 32) / 1.8 if stated == "c" else mean_c[known] * 1.8 + 32
    far, near = float(np.abs(mean_c[known] - curve).mean()), float(np.abs(other - curve).mean())
    if far <= FAR_C or near >= far * NEAR_SHARE:
        return None
    return "far_from_usual_unless_swapped", {"far_c": round(far, 1), "near_c": round(near, 1)}


def _too_hot(tmin_c: FloatArray, tmax_c: FloatArray) -> _Found | None:
    # A comparison with NaN is False: a day with one reading is judged by that one.
    hot = (tmin_c > HOTTEST_NIGHT_C) | (tmax_c > HOTTEST_DAY_C)
    days = int((np.isfinite(tmin_c) | np.isfinite(tmax_c)).sum())
    if hot.sum() < HOT_DAYS or hot.sum() < HOT_SHARE * days:
        return None
    return "hotter_than_any_record", {"hot_days": float(hot.sum()), "days": float(days)}


def _warm_winter(mean_c: FloatArray, dates: NDArray[np.datetime64], latitude: float | None) -> _Found | None:
    if latitude is None or abs(latitude) <= MILD_LATITUDE:
        return None
    winter = DECEMBER_TO_FEBRUARY if latitude > 0 else JUNE_TO_AUGUST
    mean = _mean_in(mean_c, dates, winter)
    return ("winter_too_warm", {"mean_c": round(mean, 1)}) if mean > WARMEST_WINTER_C else None


def _cold_summer(mean_c: FloatArray, dates: NDArray[np.datetime64], latitude: float | None) -> _Found | None:
    if latitude is None or abs(latitude) > COLD_LATITUDE:
        return None
    summer = JUNE_TO_AUGUST if latitude > 0 else DECEMBER_TO_FEBRUARY
    mean = _mean_in(mean_c, dates, summer)
    return ("summer_too_cold", {"mean_c": round(mean, 1)}) if mean < COLDEST_SUMMER_C else None


def _mean_in(mean_c: FloatArray, dates: NDArray[np.datetime64], months: tuple[int, ...]) -> float:
    """Return the mean of those months, NaN with fewer than ten days of them."""
    chosen = mean_c[np.isin(month_of(dates), months) & np.isfinite(mean_c)]
    return float(chosen.mean()) if chosen.size >= DAYS_NEEDED else np.nan


def _treeless(tmax_c: FloatArray, dates: NDArray[np.datetime64]) -> _Found | None:
    known = np.isfinite(tmax_c)
    if (np.bincount(month_of(dates[known]), minlength=12) < DAYS_NEEDED).any():
        return None
    high = float(np.percentile(tmax_c[known], TREELESS_PCT))
    return ("never_warm", {"high_c": round(high, 1)}) if high < TREELESS_C else None
