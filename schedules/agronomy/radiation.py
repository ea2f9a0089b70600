"""What the sun alone decides: radiation above the air, hours of daylight, and radiation at the ground."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

SOLAR_CONSTANT_MJ_PER_MIN = 0.0820
MM_PER_MJ = 0.408
ADJUSTMENT_INLAND = 0.16
ADJUSTMENT_COAST = 0.19


def extraterrestrial_mj(day_of_year: ArrayLike, latitude_deg: ArrayLike) -> FloatArray:
    """Radiation on a level surface above the atmosphere, over a day.

    Parameters
    ----------
    day_of_year : array_like
        Day within the year, 1 January = 1. [day]
    latitude_deg : array_like, shape that broadcasts with ``day_of_year``
        South negative, -90 to 90. [degree]

    Returns
    -------
    ndarray, broadcast shape
        Radiation, never negative. [MJ/m²/day] 0 in polar night.

    Raises
    ------
    ValueError
        When a latitude is beyond a pole.

    Notes
    -----
    Equations 21 to 24. Inside the polar circles the sunset angle is held to 0 (polar night) or pi (midnight
    sun), which the paper's equations leave out.

    References
    ----------
    .. [1] Allen, R.G., Pereira, L.S., Raes, D. and Smith, M., Crop evapotranspiration, FAO Irrigation and
       Drainage Paper 56, 1998, chapter 3.
    """
    day, latitude = _day_and_latitude(day_of_year, latitude_deg)
    distance = 1 + 0.033 * np.cos(2 * np.pi * day / 365)
    declination = _declination(day)
    sunset = _sunset_angle(latitude, declination)
    height = sunset * np.sin(latitude) * np.sin(declination)
    height = height + np.cos(latitude) * np.cos(declination) * np.sin(sunset)
    minutes = 24 * 60 / np.pi
    return np.maximum(minutes * SOLAR_CONSTANT_MJ_PER_MIN * distance * height, 0.0)


def daylight_hours(day_of_year: ArrayLike, latitude_deg: ArrayLike) -> FloatArray:
    """Hours from sunrise to sunset.

    Parameters
    ----------
    day_of_year : array_like
        Day within the year, 1 January = 1. [day]
    latitude_deg : array_like, shape that broadcasts with ``day_of_year``
        South negative, -90 to 90. [degree]

    Returns
    -------
    ndarray, broadcast shape
        Daylight. [hour] 0 in polar night and 24 under the midnight sun.

    Raises
    ------
    ValueError
        When a latitude is beyond a pole.

    Notes
    -----
    Equation 34: the sun's centre, without refraction, so that a day between 50 and 60 degrees comes out some
    ten to thirty minutes shorter than by the almanac.

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, equations 24, 25, 34.
    """
    day, latitude = _day_and_latitude(day_of_year, latitude_deg)
    return 24 / np.pi * _sunset_angle(latitude, _declination(day))


def radiation_from_temperatures_mj(
    tmin_c: ArrayLike, tmax_c: ArrayLike, extraterrestrial: ArrayLike, adjustment: float = ADJUSTMENT_INLAND
) -> FloatArray:
    """Estimate the radiation that reaches the ground from the day's range of temperature.

    Parameters
    ----------
    tmin_c, tmax_c : array_like, shapes that broadcast
        Lowest and highest temperature of the day. [°C]
    extraterrestrial : array_like, shape that broadcasts with the temperatures
        Radiation above the atmosphere, see :func:`extraterrestrial_mj`. [MJ/m²/day]
    adjustment : float
        0.16 inland, 0.19 on a coast. [°C^-0.5]

    Returns
    -------
    ndarray, broadcast shape
        Radiation. [MJ/m²/day] NaN where a temperature is NaN. A minimum above its maximum, as an estimate
        may give it, counts as no range at all.

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, equation 50.
    """
    above = np.asarray(extraterrestrial, dtype=float)
    return adjustment * np.sqrt(temperature_range_c(tmin_c, tmax_c)) * above


def temperature_range_c(tmin_c: ArrayLike, tmax_c: ArrayLike) -> FloatArray:
    """Return the day's range of temperature, never negative, NaN where either end is. [°C]"""
    return np.maximum(np.asarray(tmax_c, dtype=float) - np.asarray(tmin_c, dtype=float), 0.0)


def _day_and_latitude(day_of_year: ArrayLike, latitude_deg: ArrayLike) -> tuple[FloatArray, FloatArray]:
    latitude = np.asarray(latitude_deg, dtype=float)
    if (np.abs(latitude) > 90).any():
        raise ValueError("latitude_deg must lie between -90 and 90, south negative")
    return np.asarray(day_of_year, dtype=float), np.radians(latitude)


def _declination(day: FloatArray) -> FloatArray:
    return 0.409 * np.sin(2 * np.pi * day / 365 - 1.39)


def _sunset_angle(latitude: FloatArray, declination: FloatArray) -> FloatArray:
    return np.arccos(np.clip(-np.tan(latitude) * np.tan(declination), -1.0, 1.0))
