"""Degree days of an ensemble: of real weather as it was, of a curve through normals as days would swing."""

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate import Ensemble
from schedules.agronomy.thermal_time import (
    DAY_TO_DAY_SD_C,
    FloatArray,
    degree_days_average,
    degree_days_of_curve,
)


def on_a_curve(ensemble: Ensemble) -> NDArray[np.bool_]:
    """Return which days of an ensemble have no weather of their own, shape (days,).

    None when members are past years. Otherwise all but the days that were observed, bridged or forecast:
    those lie on the smooth curve through the normals.
    """
    if ensemble.basis == "years":
        return np.zeros(ensemble.days, dtype=bool)
    known = [day for day in (ensemble.observed_until, ensemble.forecast_until) if day is not None]
    last = max((ensemble.index_of(day) for day in known), default=-1)
    return ensemble.is_missing | (np.arange(ensemble.days) > last)


def degree_days_of(
    ensemble: Ensemble,
    base_c: float,
    upper_c: float | None = None,
    day_to_day_sd_c: float = DAY_TO_DAY_SD_C,
) -> FloatArray:
    """Return each member's degree days of each day.

    Parameters
    ----------
    ensemble : Ensemble
        Daily temperatures.
    base_c : float
        Temperature below which nothing is counted. [°C]
    upper_c : float, optional
        Temperature above which nothing more is counted, above ``base_c``. [°C]
    day_to_day_sd_c : float
        How days swing about a curve. [°C]

    Returns
    -------
    ndarray, shape (members, days)
        Degree days by the mean of the day's extremes; on days that lie on a curve those expected of days that
        swing about it (:func:`schedules.agronomy.thermal_time.degree_days_of_curve`). [°C day]

    Raises
    ------
    ValueError
        When ``upper_c`` is not above ``base_c``.
    """
    smooth = on_a_curve(ensemble)
    if not smooth.any():
        return degree_days_average(ensemble.tmin_c, ensemble.tmax_c, base_c, upper_c)
    if smooth.all():
        return degree_days_of_curve(ensemble.tmean_c, base_c, upper_c, day_to_day_sd_c)
    amounts = np.empty(ensemble.tmin_c.shape)
    known = ~smooth
    amounts[:, known] = degree_days_average(
        ensemble.tmin_c[:, known], ensemble.tmax_c[:, known], base_c, upper_c
    )
    amounts[:, smooth] = degree_days_of_curve(ensemble.tmean_c[:, smooth], base_c, upper_c, day_to_day_sd_c)
    return amounts
