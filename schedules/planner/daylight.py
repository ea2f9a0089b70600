"""Hours of daylight, for the rule that growth stands still in short days."""

import numpy as np
from numpy.typing import NDArray


def daylight_hours(day_of_year: NDArray[np.float64], latitude_deg: float) -> NDArray[np.float64]:
    """Hours from sunrise to sunset.

    Parameters
    ----------
    day_of_year : ndarray, shape (n,)
        Day within the year, 1 January = 1. [day]
    latitude_deg : float
        South negative. [degree]

    Returns
    -------
    ndarray, shape (n,)
        Daylight. [hour] 0 in polar night and 24 under the midnight sun.

    References
    ----------
    .. [1] Allen, Pereira, Raes and Smith, FAO Irrigation and Drainage Paper 56, 1998, equations 24, 25, 34.
    """
    declination = 0.409 * np.sin(2 * np.pi * day_of_year / 365 - 1.39)
    cosine = -np.tan(np.radians(latitude_deg)) * np.tan(declination)
    sunset_angle = np.arccos(np.clip(cosine, -1.0, 1.0))
    return 24 / np.pi * sunset_angle
