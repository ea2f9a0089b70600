"""The evening and the night ahead, out of an hourly forecast: sunset, wind, rain and cold."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from astral import Observer
from astral.sun import sunrise as astral_sunrise
from astral.sun import sunset as astral_sunset
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

HOUR = timedelta(hours=1)
EVENING_HOURS = 3
# Where the sun does not set, or does not rise, an evening is what the clock calls so.
EVENING_ENDS = time(21)
NIGHT_BEGINS, NIGHT_ENDS = time(18), time(9)


@dataclass(frozen=True, slots=True, eq=False)
class Hours:
    """Weather hour by hour, as a forecast gives it.

    Parameters
    ----------
    at : tuple of datetime
        When each hour begins: aware, in UTC, rising. Hours may be missing.
    air_c : ndarray, shape (n,)
        Air temperature at that instant. [°C], NaN where unknown.
    wind_ms : ndarray, shape (n,)
        Mean wind at 10 m. [m/s], NaN where unknown.
    rain_mm : ndarray, shape (n,)
        Rain in the hour that begins then. [mm], NaN where unknown.

    Raises
    ------
    ValueError
        When an array is not as long as ``at``, or ``at`` is not in UTC or does not rise.
    """

    at: tuple[datetime, ...]
    air_c: FloatArray
    wind_ms: FloatArray
    rain_mm: FloatArray

    def __post_init__(self) -> None:
        for name in ("air_c", "wind_ms", "rain_mm"):
            values = np.asarray(getattr(self, name), dtype=float)
            if values.shape != (len(self.at),):
                raise ValueError(f"hours: {name} must hold one value for each of the {len(self.at)} hours")
            object.__setattr__(self, name, values)
        if any(each.utcoffset() != timedelta() for each in self.at):
            raise ValueError("hours: every time must be aware and in UTC")
        if any(later <= earlier for earlier, later in zip(self.at, self.at[1:], strict=False)):
            raise ValueError("hours: the times must rise")

    def between(self, begins: datetime, ends: datetime) -> "Hours":
        """Return the hours that begin in ``begins <= at < ends``."""
        keep = [index for index, each in enumerate(self.at) if begins <= each < ends]
        return Hours(
            tuple(self.at[index] for index in keep), self.air_c[keep], self.wind_ms[keep], self.rain_mm[keep]
        )


NO_HOURS = Hours((), np.empty(0), np.empty(0), np.empty(0))


@dataclass(frozen=True, slots=True)
class Evening:
    """The hours before sunset.

    Parameters
    ----------
    begins, ends : datetime
        The span looked at, in UTC.
    sunset : datetime or None
        When the sun sets, in UTC; None where it does not that day.
    wind_ms : float or None
        Mean wind at 10 m. [m/s] None where an hour of it is missing.
    rain_mm : float or None
        Rain of the span. [mm] None where an hour of it is missing.
    air_c : float or None
        Mean air temperature. [°C] None where an hour of it is missing.
    """

    begins: datetime
    ends: datetime
    sunset: datetime | None
    wind_ms: float | None
    rain_mm: float | None
    air_c: float | None


@dataclass(frozen=True, slots=True)
class Night:
    """The night from six in the evening to nine in the morning, by the clock of the place.

    Parameters
    ----------
    begins, ends : datetime
        The span looked at, in UTC.
    lowest_c : float or None
        Lowest of the hours that are known. [°C] None where none is.
    wind_at_lowest_ms : float or None
        Mean wind at 10 m in the coldest hour. [m/s]
    mean_c, wind_ms, rain_mm : float or None
        Mean temperature and wind, and rain of the night. [°C, m/s, mm] None where an hour is missing.
    is_whole : bool
        Whether the temperature of every hour is known: only then can the night be said to stay above a
        level.
    """

    begins: datetime
    ends: datetime
    lowest_c: float | None
    wind_at_lowest_ms: float | None
    mean_c: float | None
    wind_ms: float | None
    rain_mm: float | None
    is_whole: bool


def sunset(latitude_deg: float, longitude_deg: float, day: date, zone: ZoneInfo) -> datetime | None:
    """Say when the sun sets on a local day.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        Place. [degree], south and west negative.
    day : datetime.date
        Day by the clock of ``zone``.
    zone : ZoneInfo
        Time zone of the place.

    Returns
    -------
    datetime or None
        In UTC; None where the sun stays up or down all day.

    Notes
    -----
    The sun's upper limb on a level horizon at sea level with ordinary refraction, by ``astral``; within a
    minute of ``pyephem`` between 58° north and 40° south (tests/outside/test_evenings.py). Hills, woods and
    height move the real one by more.
    """
    try:
        return astral_sunset(Observer(latitude_deg, longitude_deg, 0.0), day, tzinfo=zone).astimezone(UTC)
    except ValueError:
        return None


def sunrise(latitude_deg: float, longitude_deg: float, day: date, zone: ZoneInfo) -> datetime | None:
    """Say when the sun rises on a local day.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        Place. [degree], south and west negative.
    day : datetime.date
        Day by the clock of ``zone``.
    zone : ZoneInfo
        Time zone of the place.

    Returns
    -------
    datetime or None
        In UTC; None where the sun stays up or down all day. Reckoned as ``sunset`` is.
    """
    try:
        return astral_sunrise(Observer(latitude_deg, longitude_deg, 0.0), day, tzinfo=zone).astimezone(UTC)
    except ValueError:
        return None


def night_ends(latitude_deg: float, longitude_deg: float, evening: date, zone: ZoneInfo) -> datetime:
    """Say when the night after a local day is over: at sunrise, or by the clock where there is none."""
    morning = evening + timedelta(days=1)
    rises = sunrise(latitude_deg, longitude_deg, morning, zone)
    return rises or datetime.combine(morning, NIGHT_ENDS, zone).astimezone(UTC)


def evening_of(
    hours: Hours, *, latitude_deg: float, longitude_deg: float, zone: ZoneInfo, today: date
) -> Evening:
    """Sum up the three hours before sunset.

    Parameters
    ----------
    hours : Hours
        The forecast; hours of other days do no harm.
    latitude_deg, longitude_deg : float
        Place. [degree]
    zone : ZoneInfo
        Time zone of the place.
    today : datetime.date
        Local day.

    Returns
    -------
    Evening
        Means over the three hours that begin in the span; a missing hour leaves its means unknown. Where the
        sun does not set the span is 18:00 to 21:00 by the clock.
    """
    sets = sunset(latitude_deg, longitude_deg, today, zone)
    ends = sets or datetime.combine(today, EVENING_ENDS, zone).astimezone(UTC)
    begins = ends - EVENING_HOURS * HOUR
    part = hours.between(begins, ends)
    return Evening(
        begins,
        ends,
        sets,
        wind_ms=_mean(part.wind_ms, EVENING_HOURS),
        rain_mm=_total(part.rain_mm, EVENING_HOURS),
        air_c=_mean(part.air_c, EVENING_HOURS),
    )


def night_of(hours: Hours, *, zone: ZoneInfo, today: date) -> Night:
    """Sum up the night that follows a local day.

    Parameters
    ----------
    hours : Hours
        The forecast.
    zone : ZoneInfo
        Time zone of the place.
    today : datetime.date
        Local day whose evening begins the night.

    Returns
    -------
    Night
        A night has 15 hours, one more or less where the clock changes in it.
    """
    begins = datetime.combine(today, NIGHT_BEGINS, zone).astimezone(UTC)
    ends = datetime.combine(today + timedelta(days=1), NIGHT_ENDS, zone).astimezone(UTC)
    count = round((ends - begins) / HOUR)
    part = hours.between(begins, ends)
    known = np.flatnonzero(~np.isnan(part.air_c))
    coldest = int(known[part.air_c[known].argmin()]) if known.size else None
    return Night(
        begins,
        ends,
        lowest_c=None if coldest is None else float(part.air_c[coldest]),
        wind_at_lowest_ms=None if coldest is None else _known(part.wind_ms[coldest]),
        mean_c=_mean(part.air_c, count),
        wind_ms=_mean(part.wind_ms, count),
        rain_mm=_total(part.rain_mm, count),
        is_whole=known.size == count,
    )


def _mean(values: FloatArray, wanted: int) -> float | None:
    return _known(values.mean()) if values.size == wanted else None


def _total(values: FloatArray, wanted: int) -> float | None:
    return _known(values.sum()) if values.size == wanted else None


def _known(value: ArrayLike) -> float | None:
    number = float(np.asarray(value))
    return None if np.isnan(number) else number
