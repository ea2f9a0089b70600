"""The two shapes weather arrives in: daily rows and twelve monthly normals."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


class ClimateFault(ValueError):
    """Weather that cannot be used; the message says what is wrong and what to supply."""


@dataclass(frozen=True, slots=True, eq=False)
class DailyWeather:
    """Observed weather, one value a day without breaks from ``first``.

    Parameters
    ----------
    first : datetime.date
        Day of the first value.
    tmin_c, tmax_c : ndarray, shape (n,)
        Lowest and highest air temperature of the day. [°C], NaN where not observed.
    rain_mm : ndarray, shape (n,)
        Rain of the day. [mm], NaN where not observed.
    wind_ms : ndarray, shape (n,)
        Mean wind of the day. [m/s], NaN where not observed.

    Raises
    ------
    ClimateFault
        When the arrays differ in shape, or a day's minimum is above its maximum (the day is named).
    """

    first: date
    tmin_c: FloatArray
    tmax_c: FloatArray
    rain_mm: FloatArray
    wind_ms: FloatArray

    def __post_init__(self) -> None:
        for name in ("tmin_c", "tmax_c", "rain_mm", "wind_ms"):
            values = np.asarray(getattr(self, name), dtype=float)
            if values.ndim != 1 or values.size != np.size(self.tmin_c):
                raise ClimateFault(f"daily weather: {name} must hold one value a day, like tmin_c")
            object.__setattr__(self, name, values)
        crossed = np.flatnonzero(self.tmin_c > self.tmax_c)
        if crossed.size:
            day = self.first + timedelta(days=int(crossed[0]))
            raise ClimateFault(f"daily weather: on {day} tmin_c is above tmax_c; correct or clear that row")

    @property
    def dates(self) -> NDArray[np.datetime64]:
        """Every day of the record, shape (n,), datetime64[D]."""
        return days_from(self.first, self.tmin_c.size)

    @property
    def whole(self) -> NDArray[np.bool_]:
        """True where both temperatures were observed, shape (n,)."""
        return ~(np.isnan(self.tmin_c) | np.isnan(self.tmax_c))

    def before(self, day: date) -> "DailyWeather":
        """Return the part of the record strictly before ``day``."""
        keep = max(0, min(self.tmin_c.size, (day - self.first).days))
        return DailyWeather(
            self.first, self.tmin_c[:keep], self.tmax_c[:keep], self.rain_mm[:keep], self.wind_ms[:keep]
        )


@dataclass(frozen=True, slots=True, eq=False)
class Normals:
    """Twelve monthly normals, January first.

    Parameters
    ----------
    tmin_c, tmax_c : ndarray, shape (12,)
        Mean daily minimum and maximum. [°C]
    rain_mm : ndarray, shape (12,)
        Rain of the whole month. [mm], NaN where unknown.
    wind_ms : ndarray, shape (12,)
        Mean wind. [m/s], NaN where unknown.

    Raises
    ------
    ClimateFault
        When there are not twelve values, a temperature is missing, or a minimum is above its maximum.
    """

    tmin_c: FloatArray
    tmax_c: FloatArray
    rain_mm: FloatArray
    wind_ms: FloatArray

    def __post_init__(self) -> None:
        for name in ("tmin_c", "tmax_c", "rain_mm", "wind_ms"):
            values = np.asarray(getattr(self, name), dtype=float)
            if values.shape != (12,):
                raise ClimateFault(f"normals: {name} must hold twelve values, January first")
            object.__setattr__(self, name, values)
        _refuse_months(
            np.isnan(self.tmin_c) | np.isnan(self.tmax_c), "has no tmin_c or no tmax_c; supply both"
        )
        _refuse_months(self.tmin_c > self.tmax_c, "has tmin_c above tmax_c; check the two columns")


def _refuse_months(faulty: NDArray[np.bool_], reason: str) -> None:
    if faulty.any():
        raise ClimateFault(f"normals: month {int(np.argmax(faulty)) + 1} {reason}")


def days_from(first: date, days: int) -> NDArray[np.datetime64]:
    """Return ``days`` consecutive dates from ``first``, datetime64[D]."""
    return np.datetime64(first, "D") + np.arange(days)


def month_of(dates: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Return the month of each date, 0 for January."""
    return dates.astype("datetime64[M]").astype(np.int64) % 12


def year_of(dates: NDArray[np.datetime64]) -> NDArray[np.int64]:
    """Return the calendar year of each date."""
    return dates.astype("datetime64[Y]").astype(np.int64) + 1970
