"""An ensemble: what was observed, then several equally plausible ways the weather may go on."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Literal

import numpy as np

from schedules.agronomy.climate.past import BoolArray
from schedules.agronomy.climate.rain import RAIN_UNKNOWN
from schedules.agronomy.climate.series import FloatArray

PRACTICE_SPREAD = "common practice, no published source"


@dataclass(frozen=True, slots=True, eq=False)
class Ensemble:
    """Daily weather, observed then plausible, for several members.

    Parameters
    ----------
    first : datetime.date
        Day of index 0.
    tmin_c, tmax_c : ndarray, shape (members, days)
        Lowest and highest air temperature. [°C], never NaN.
    basis : {"years", "normals"}
        Whether each member follows one past year, or the normals moved by a fixed amount.
    members : int
        Number of members.
    spread_c : float
        Standard deviation between seasons of the monthly mean. [°C] Moves the members when the basis is
        "normals"; only informs when it is "years".
    observed_until : datetime.date or None
        Last day before today with both temperatures observed; None when no such day exists.
    missing_days : int
        Days of the window before today in gaps too long to bridge. Each member carries its own plausible
        weather there, so that a sum over them is incomplete.
    spread_source : str
        Where ``spread_c`` comes from.
    rain_mm : ndarray, shape (members, days)
        Rain of the day. [mm] NaN everywhere when nothing is known of the site's rain, otherwise never.
    bridged_days : int
        Days of the window before today with a missing temperature that was bridged from the day before.
    rain_missing_days : int
        Days of the window before today without observed rain, on which each member carries its own.
    forecast_until : datetime.date or None
        Last day taken from a forecast, the same in every member; None without one.
    is_missing : ndarray of bool, shape (days,)
        The days that ``missing_days`` counts.
    rain_source : str
        Where the rain that was not observed comes from.
    """

    first: date
    tmin_c: FloatArray
    tmax_c: FloatArray
    basis: Literal["years", "normals"]
    members: int
    spread_c: float
    observed_until: date | None
    missing_days: int
    spread_source: str = PRACTICE_SPREAD
    rain_mm: FloatArray = field(default_factory=lambda: np.empty((0, 0)))
    bridged_days: int = 0
    rain_missing_days: int = 0
    forecast_until: date | None = None
    is_missing: BoolArray = field(default_factory=lambda: np.empty(0, dtype=bool))
    rain_source: str = RAIN_UNKNOWN

    def __post_init__(self) -> None:
        if self.rain_mm.size == 0:
            object.__setattr__(self, "rain_mm", np.full(self.tmin_c.shape, np.nan))
        if self.is_missing.size == 0:
            object.__setattr__(self, "is_missing", np.zeros(self.tmin_c.shape[1], dtype=bool))

    @property
    def tmean_c(self) -> FloatArray:
        """Daily mean air temperature, (tmin + tmax) / 2, shape (members, days). [°C]"""
        return (self.tmin_c + self.tmax_c) / 2

    @property
    def days(self) -> int:
        return self.tmin_c.shape[1]

    @property
    def knows_rain(self) -> bool:
        """Whether there is rain to work with; without it no balance of water can be told."""
        return not bool(np.isnan(self.rain_mm[0, 0]))

    def missing_between(self, begin: int, stop: int) -> int:
        """Count the days of longer gaps in ``begin <= index < stop``: a sum over them is incomplete."""
        return int(self.is_missing[max(begin, 0) : max(stop, 0)].sum())

    def index_of(self, day: date) -> int:
        """Return the index of ``day``; outside 0..days-1 when the window does not hold it."""
        return (day - self.first).days

    def date_at(self, index: int) -> date:
        """Return the day at ``index``."""
        return self.first + timedelta(days=int(index))
