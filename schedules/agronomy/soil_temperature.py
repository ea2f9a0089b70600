"""Soil temperature at sowing depth, estimated from air temperature, and the warmth a cover adds."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

RESPONSE_BARE = 0.25
RESPONSE_SNOW = 0.1
RUNNING_DAYS = 11
BLOCK_DAYS = 32

_MULCH_GUIDE = "New England Vegetable Management Guide, Plastic mulch and row covers; lower end, rounded down"

COVER_WARMTH_C: Mapping[str, float] = MappingProxyType(
    {"none": 0.0, "mesh": 0.0, "fleece": 1.0, "black": 1.5, "film": 2.0, "clear": 4.0}
)
"""Degrees added to the soil estimate while a cover is on, by kind of cover. [°C]"""

COVER_WARMTH_SOURCE: Mapping[str, str] = MappingProxyType(
    {
        "none": "bare soil: nothing is added",
        "mesh": "Royal Horticultural Society, insect-proof mesh advice: little extra warmth, counted as none",
        "fleece": "from memory: fleece trials, about one degree",
        "black": _MULCH_GUIDE,
        "film": "Acta Horticulturae 187, article 20, one perforated sheet: soil +2.5 °C, rounded down",
        "clear": _MULCH_GUIDE,
    }
)


COVER_SUN_MJ = 17.0
"""Radiation in the weeks in which the covers' warmth was measured. [MJ/m²/day]

A sheet is warm by the sun, and the guide's figures are of New England's planting weeks: April 16 and May 19
MJ/m²/day near Boston (from memory: long-term means of global radiation). Under less sun a cover adds in
proportion less.
"""

COVER_SUN_SOURCE = "a cover warms in proportion to the sun: common practice, no published source"


def running_mean(air_c: ArrayLike, days: int = RUNNING_DAYS) -> FloatArray:
    """Average each day with the days before it.

    Parameters
    ----------
    air_c : array_like, shape (..., n)
        Daily mean air temperature, last axis days. [°C]
    days : int
        Days in the mean, the day itself included, at least 1.

    Returns
    -------
    ndarray, shape (..., n)
        Running mean. [°C] The first ``days - 1`` values average the days there are. NaN wherever the days
        averaged hold a NaN.

    Raises
    ------
    ValueError
        When ``days`` is below 1.
    """
    if days < 1:
        raise ValueError(f"running mean: days must be at least 1, not {days}")
    air = np.asarray(air_c, dtype=float)
    gaps = np.isnan(air)
    span = np.minimum(np.arange(air.shape[-1]) + 1, days)
    mean = _sum_of_last(np.where(gaps, 0.0, air), days) / span
    return np.where(_sum_of_last(gaps.astype(float), days) > 0, np.nan, mean)


def _sum_of_last(values: FloatArray, days: int) -> FloatArray:
    totals = np.cumsum(values, axis=-1)
    totals[..., days:] -= totals[..., :-days].copy()
    return totals


def soil_temperature_c(
    air_mean_c: ArrayLike,
    *,
    start_c: ArrayLike | None = None,
    leaf_area: float = 0.0,
    extinction: float = 0.45,
    snow: bool = False,
) -> FloatArray:
    """Estimate daily soil temperature at about 10 cm from daily mean air temperature.

    Parameters
    ----------
    air_mean_c : array_like, shape (..., n)
        Daily mean air temperature, last axis days. [°C]
    start_c : float or array_like, shape (...), optional
        Soil temperature on the day before the first. [°C] When left out, the mean of the first eleven days.
    leaf_area : float
        Leaf area index above the soil, 0 for a bare seed-bed. [m²/m²]
    extinction : float
        Extinction coefficient of the leaves. [-]
    snow : bool
        Whether snow lies throughout.

    Returns
    -------
    ndarray, shape (..., n)
        Soil temperature. [°C] From the first missing air temperature on, NaN: the estimate rests on every day
        before it.

    Raises
    ------
    ValueError
        When ``leaf_area`` or ``extinction`` is negative.

    Notes
    -----
    With A the eleven-day running mean of air temperature, ``T[j] = T[j-1] + (A[j] - T[j-1]) m v``, where m is
    0.25 (0.1 under snow) and v is ``exp(-extinction leaf_area)`` while the soil warms, 1 while it cools.
    The paper ends with a straight line fitted to each region; slope 1 and intercept 0 are used here, so the
    result is an estimate until a site has soil readings of its own. The paper reports 77 to 96 % of days
    within 3.5 °C at 10 cm in temperate United States records. The coefficients were read in published model
    code citing the paper; the default extinction is from memory.

    References
    ----------
    .. [1] Zheng, D., Hunt, E.R. and Running, S.W., A daily soil temperature model based on air temperature
       and precipitation for continental applications, Climate Research 2, 1993, pp. 183-191.
    """
    if leaf_area < 0 or extinction < 0:
        raise ValueError("soil temperature: leaf_area and extinction must not be negative")
    air = np.asarray(air_mean_c, dtype=float)
    smoothed = running_mean(air)
    start = air[..., :RUNNING_DAYS].mean(axis=-1) if start_c is None else np.asarray(start_c, dtype=float)
    start = np.broadcast_to(start, air.shape[:-1])
    response = RESPONSE_SNOW if snow else RESPONSE_BARE
    warming = float(response * np.exp(-extinction * leaf_area))
    if warming == response:
        return _follow_in_blocks(smoothed, start, response)
    return _follow_by_day(smoothed, start, warming, response)


def _follow_in_blocks(air: FloatArray, start: FloatArray, response: float) -> FloatArray:
    """Run the recursion with one response throughout: a matrix product within each block of days."""
    days = air.shape[-1]
    blocks = -(-days // BLOCK_DAYS)
    padded = np.zeros((*air.shape[:-1], blocks * BLOCK_DAYS))
    padded[..., :days] = air
    padded = padded.reshape(*air.shape[:-1], blocks, BLOCK_DAYS)
    gaps = np.isnan(padded)

    kept = 1 - response
    age = np.arange(BLOCK_DAYS)[:, None] - np.arange(BLOCK_DAYS)
    weights = np.where(age >= 0, response * kept ** np.maximum(age, 0), 0.0)
    soil = np.where(gaps, 0.0, padded) @ weights.T
    soil[np.logical_or.accumulate(gaps, axis=-1)] = np.nan

    fading = kept ** np.arange(1, BLOCK_DAYS + 1)
    carried = start
    for block in range(blocks):
        soil[..., block, :] += carried[..., None] * fading
        carried = soil[..., block, -1]
    return soil.reshape(*air.shape[:-1], blocks * BLOCK_DAYS)[..., :days]


def _follow_by_day(air: FloatArray, start: FloatArray, warming: float, cooling: float) -> FloatArray:
    """Run the recursion where warming is slower than cooling: the lesser of the two steps holds."""
    soil = np.empty_like(air)
    current = start
    for day in range(air.shape[-1]):
        gap = air[..., day] - current
        current = current + np.minimum(warming * gap, cooling * gap)
        soil[..., day] = current
    return soil
