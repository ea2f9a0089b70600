"""Water in the root zone: how much of what a crop reaches easily is gone, day by day."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.agronomy.soils import soil_of

FloatArray = NDArray[np.float64]

SEEDLING_DEPTH_M = 0.2
IGNORED_RAIN_SHARE = 0.2
STRESS_FREE_ET_MM = 5.0
LEAST_P, MOST_P = 0.1, 0.8
LEAVES_AT_FIRST_KC = 0.15
REPORTED = "Allen et al., FAO Irrigation and Drainage Paper 56, 1998"
BALANCE_SOURCE = f"root-zone balance: {REPORTED}, chapter 8"


@dataclass(frozen=True, slots=True)
class WaterUse:
    """What a crop takes from the soil.

    Parameters
    ----------
    kc_ini, kc_mid, kc_end : float
        Crop coefficients of the young, the full-grown and the finished crop. [-]
    root_depth_m : float
        Depth of the roots of the full-grown crop. [m]
    depletion_p : float
        Share of the available water that is taken without harm when 5 mm a day are used. [-]
    stage_shares : tuple of float
        Parts of the crop's life: initial, development, mid-season, late; any unit.
    """

    kc_ini: float
    kc_mid: float
    kc_end: float
    root_depth_m: float
    depletion_p: float
    stage_shares: tuple[float, float, float, float]


@dataclass(frozen=True, slots=True, eq=False)
class RootZone:
    """State of the root zone at the end of each day, all shape (..., days). [mm]

    ``depletion_mm`` is what it lacks below field capacity; ``readily_mm`` how much it may lack before the
    crop suffers (RAW); ``available_mm`` all that the crop could take (TAW).
    """

    depletion_mm: FloatArray
    readily_mm: FloatArray
    available_mm: FloatArray

    @property
    def is_short(self) -> NDArray[np.bool_]:
        """Days that end with more gone than the crop reaches easily; False where it is not known."""
        return self.depletion_mm > self.readily_mm


def crop_coefficient(day: ArrayLike, begin: ArrayLike, end: ArrayLike, use: WaterUse) -> FloatArray:
    """Draw the crop coefficient through a crop's life.

    Parameters
    ----------
    day : array_like
        Days asked for, counted from anywhere. [day]
    begin, end : array_like, shapes that broadcast with ``day``
        Emergence or planting, and the last lifting, counted from the same day. [day]
    use : WaterUse
        The crop.

    Returns
    -------
    ndarray, broadcast shape
        Coefficient. [-] ``kc_ini`` before ``begin`` and ``kc_end`` after ``end``.

    Notes
    -----
    Level through the initial stage, straight up through development, level through mid-season, straight
    down through the late stage (figure 34). The paper's stage lengths are those of warm places; here their
    shares are laid over the crop's own life. The young crop's coefficient is the paper's table value, not
    adjusted to how often the surface is wetted.

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, chapter 6.
    """
    lived = share_of_life(day, begin, end)
    grown, full, late, over = stage_ends(use)
    return np.interp(lived, [grown, full, late, over], [use.kc_ini, use.kc_mid, use.kc_mid, use.kc_end])


def drying_coefficient(
    coefficient: ArrayLike, life: ArrayLike, reduction: ArrayLike, use: WaterUse
) -> FloatArray:
    """Take from the crop coefficient what open ground no longer gives off once its surface is dry.

    Parameters
    ----------
    coefficient : array_like
        Crop coefficient, see :func:`crop_coefficient`. [-]
    life : array_like, shape that broadcasts
        Share of the crop's life that has passed, see :func:`share_of_life`.
    reduction : array_like, shape that broadcasts
        Share of its full evaporation that the surface keeps up (Kr). [-]
    use : WaterUse
        The crop.

    Returns
    -------
    ndarray, broadcast shape
        Coefficient, from what the leaves alone take (0.15) to the full one. [-]

    Notes
    -----
    The paper's single coefficient of a young crop is that of ground wetted often; its dual coefficient parts
    what leaves take, 0.15 at first (table 17), from what open ground gives off. Here the open share of the
    ground shrinks straight from all of it at the end of the initial stage to none at mid-season
    (this project's own joining of the two).

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, chapter 7.
    """
    grown, full, _, _ = stage_ends(use)
    open_share = np.interp(np.asarray(life, dtype=float), [grown, full], [1.0, 0.0])
    open_ground = open_share * max(use.kc_ini - LEAVES_AT_FIRST_KC, 0.0)
    return np.asarray(coefficient, dtype=float) - open_ground * (1 - np.asarray(reduction, dtype=float))


def available_water_mm(field_capacity: ArrayLike, wilting_point: ArrayLike, depth_m: ArrayLike) -> FloatArray:
    """Return the water that a crop can take from a depth of soil (TAW). [mm]

    Parameters
    ----------
    field_capacity, wilting_point : array_like
        Water at either end. [m³/m³]
    depth_m : array_like, shape that broadcasts
        Rooting depth. [m]

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, equation 82.
    """
    held = np.asarray(field_capacity, dtype=float) - np.asarray(wilting_point, dtype=float)
    return 1000 * held * np.asarray(depth_m, dtype=float)


def rooting_depth_m(day: ArrayLike, begin: ArrayLike, end: ArrayLike, use: WaterUse) -> FloatArray:
    """Return how deep the roots reach on each day.

    Parameters
    ----------
    day, begin, end, use
        As for :func:`crop_coefficient`.

    Returns
    -------
    ndarray, broadcast shape
        Depth. [m] From 0.2 m, or the full depth where that is less, straight down to the full depth at the
        start of mid-season.

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, chapter 8 (straight
       growth to mid-season, 0.15 to 0.20 m at first: from memory).
    """
    least = min(SEEDLING_DEPTH_M, use.root_depth_m)
    full = stage_ends(use)[1]
    return np.interp(share_of_life(day, begin, end), [0.0, full], [least, use.root_depth_m])


def depletion_fraction(depletion_p: float, crop_et_mm: ArrayLike) -> FloatArray:
    """Return the share of the available water that a crop takes without harm at a day's rate of use.

    Parameters
    ----------
    depletion_p : float
        The table's share, for 5 mm a day. [-]
    crop_et_mm : array_like
        Water that the crop would use. [mm/day]

    Returns
    -------
    ndarray
        ``p + 0.04 (5 - ETc)``, kept within 0.1 and 0.8. [-]

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, table 22, footnote.
    """
    crop_et = np.asarray(crop_et_mm, dtype=float)
    return np.clip(depletion_p + 0.04 * (STRESS_FREE_ET_MM - crop_et), LEAST_P, MOST_P)


def stress_coefficient(depletion_mm: ArrayLike, available_mm: ArrayLike, fraction: ArrayLike) -> FloatArray:
    """Return the share of its full water use that a crop keeps up (Ks).

    Parameters
    ----------
    depletion_mm, available_mm : array_like, shapes that broadcast
        What the root zone lacks, and all that the crop could take (TAW, above 0). [mm]
    fraction : array_like
        Share that is taken without harm, below 1. [-]

    Returns
    -------
    ndarray, broadcast shape
        1 down to the easily available water, from there straight to 0 where all is taken.

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, equation 84.
    """
    available = np.asarray(available_mm, dtype=float)
    left = available - np.asarray(depletion_mm, dtype=float)
    return np.clip(left / ((1 - np.asarray(fraction, dtype=float)) * available), 0.0, 1.0)


def effective_rain_mm(rain_mm: ArrayLike, et0_mm: ArrayLike) -> FloatArray:
    """Return the rain that reaches roots: a day's rain below a fifth of ET0 dries off again at once. [mm]

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, chapter 8.
    """
    rain, et0 = np.asarray(rain_mm, dtype=float), np.asarray(et0_mm, dtype=float)
    return np.where(rain < IGNORED_RAIN_SHARE * et0, 0.0, rain)


def root_zone(
    rain_mm: ArrayLike,
    et0_mm: ArrayLike,
    coefficient: ArrayLike,
    depth_m: ArrayLike,
    *,
    depletion_p: float,
    soil: str,
    start_mm: ArrayLike = 0.0,
    given_mm: ArrayLike = 0.0,
) -> RootZone:
    """Keep the account of water in the root zone.

    Parameters
    ----------
    rain_mm, et0_mm : array_like, shape (..., days)
        Rain and reference evapotranspiration. [mm]
    coefficient, depth_m : array_like, shapes that broadcast
        Crop coefficient [-] and rooting depth [m], above 0.
    depletion_p : float
        Share of the available water taken without harm at 5 mm a day. [-]
    soil : {"sand", "loam", "silt", "clay", "mix"}
        Kind of soil.
    start_mm : float or array_like, shape (...)
        Depletion at the end of the day before the first; no more than the first day's root zone holds counts.
    given_mm : array_like, shape that broadcasts
        Water given by hand. [mm] ``inf`` refills the root zone.

    Returns
    -------
    RootZone
        NaN from the first day on whose rain or evapotranspiration is unknown.

    Raises
    ------
    ValueError
        When the soil is none of the five.

    Notes
    -----
    Equations 82 to 85, without run-off and capillary rise; rain and water given come early in the day, so
    that they are counted before the stress of that day. What the root zone cannot hold drains away. Soil
    that roots newly reach is taken to be at field capacity, as winter leaves it; a sowing that follows a
    crop in summer may find less.

    References
    ----------
    .. [1] Allen, R.G., Pereira, L.S., Raes, D. and Smith, M., Crop evapotranspiration, FAO Irrigation and
       Drainage Paper 56, 1998, chapter 8.
    """
    gained = effective_rain_mm(rain_mm, et0_mm) + np.asarray(given_mm, dtype=float)
    wanted = np.asarray(coefficient, dtype=float) * np.asarray(et0_mm, dtype=float)
    held = soil_of(soil).available_mm_per_m * np.asarray(depth_m, dtype=float)
    gained, wanted, held = np.broadcast_arrays(gained, wanted, held)
    readily = depletion_fraction(depletion_p, wanted) * held
    # Days first, so that each step of the recursion reads one run of memory.
    by_day = (
        np.ascontiguousarray(np.moveaxis(each, -1, 0))
        for each in (gained, wanted, held, 1 / (held - readily))
    )
    depletion = np.empty((gained.shape[-1], *gained.shape[:-1]))
    current = np.broadcast_to(np.asarray(start_mm, dtype=float), depletion.shape[1:])
    for day, (gain, want, most, slope) in enumerate(zip(*by_day, strict=True)):
        wetted = np.minimum(np.maximum(current - gain, 0.0), most)
        stress = np.minimum((most - wetted) * slope, 1.0)
        current = np.minimum(wetted + stress * want, most, out=depletion[day, ...])
    depletion = np.moveaxis(depletion, 0, -1)
    return RootZone(depletion, np.where(np.isnan(depletion), np.nan, readily), held)


def share_of_life(day: ArrayLike, begin: ArrayLike, end: ArrayLike) -> FloatArray:
    """Return how much of a crop's life has passed on each day, 0 before it begins and 1 once it is over."""
    start = np.asarray(begin, dtype=float)
    length = np.maximum(np.asarray(end, dtype=float) - start, 1.0)
    return np.clip((np.asarray(day, dtype=float) - start) / length, 0.0, 1.0)


def stage_ends(use: WaterUse) -> tuple[float, float, float, float]:
    """Return the shares of life at which the four stages end."""
    ends = np.cumsum(use.stage_shares) / sum(use.stage_shares)
    return float(ends[0]), float(ends[1]), float(ends[2]), 1.0
