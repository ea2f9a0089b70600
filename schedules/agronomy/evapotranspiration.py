"""How much water the air would take from short grass that never goes short, from temperature alone."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from schedules.agronomy.radiation import MM_PER_MJ, extraterrestrial_mj, temperature_range_c

FloatArray = NDArray[np.float64]

LOWEST_WIND_HEIGHT_M = 0.1


def hargreaves_mm(
    tmin_c: ArrayLike, tmax_c: ArrayLike, day_of_year: ArrayLike, latitude_deg: ArrayLike
) -> FloatArray:
    """Reference evapotranspiration of a day by Hargreaves and Samani.

    Parameters
    ----------
    tmin_c, tmax_c : array_like, shape (..., days)
        Lowest and highest air temperature of the day. [°C]
    day_of_year : array_like, shape that broadcasts, usually (days,)
        Day within the year, 1 January = 1. [day]
    latitude_deg : array_like, shape that broadcasts
        South negative, -90 to 90. [degree]

    Returns
    -------
    ndarray, broadcast shape
        Evapotranspiration, never negative. [mm/day] NaN where a temperature is NaN.

    Raises
    ------
    ValueError
        When a latitude is beyond a pole.

    Notes
    -----
    ``0.0023 (Tmean + 17.8) (Tmax - Tmin)^0.5 Ra``, with Ra in mm/day by the fixed 0.408 of the paper. Below a
    mean of -17.8 °C nothing is given off. The paper warns that it reads low where the wind is above 3 m/s and
    high where the air is damp: against the evapotranspiration that open records of north-west Europe carry
    it was between 16 % above (Brussels) and 15 % below (Northumberland) from April to September
    (tests/outside/test_evapotranspiration.py).

    References
    ----------
    .. [1] Allen, R.G., Pereira, L.S., Raes, D. and Smith, M., Crop evapotranspiration, FAO Irrigation and
       Drainage Paper 56, 1998, equation 52.
    .. [2] Hargreaves, G.H. and Samani, Z.A., Reference crop evapotranspiration from temperature, Applied
       Engineering in Agriculture 1, 1985, pp. 96-99.
    """
    low, high = np.asarray(tmin_c, dtype=float), np.asarray(tmax_c, dtype=float)
    above_mm = MM_PER_MJ * extraterrestrial_mj(day_of_year, latitude_deg)
    warmth = np.maximum((low + high) / 2 + 17.8, 0.0)
    return 0.0023 * warmth * np.sqrt(temperature_range_c(low, high)) * above_mm


def wind_at_two_metres(wind_ms: ArrayLike, height_m: float) -> FloatArray:
    """Bring a wind measured at some height over short grass down, or up, to two metres.

    Parameters
    ----------
    wind_ms : array_like, any shape
        Mean wind. [m/s]
    height_m : float
        Height of the instrument above the ground, above 0.1. [m]

    Returns
    -------
    ndarray, shape as ``wind_ms``
        Wind at two metres. [m/s]

    Raises
    ------
    ValueError
        When the height is 0.1 m or less, where the logarithmic profile no longer holds.

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, equation 47.
    """
    if height_m <= LOWEST_WIND_HEIGHT_M:
        raise ValueError(f"height_m must be above {LOWEST_WIND_HEIGHT_M} m, not {height_m}")
    return np.asarray(wind_ms, dtype=float) * 4.87 / np.log(67.8 * height_m - 5.42)
