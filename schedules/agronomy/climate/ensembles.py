"""An ensemble: what was observed, then several equally plausible ways the weather may go on."""

from dataclasses import dataclass
from datetime import date, timedelta
from statistics import NormalDist
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate.monthly import curve_on, normals_of, year_to_year_spread_c
from schedules.agronomy.climate.series import (
    ClimateFault,
    DailyWeather,
    FloatArray,
    Normals,
    days_from,
    year_of,
)

YEARS_NEEDED = 8
PRACTICE_SPREAD_C = 1.3
QUANTILES = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
OWN_SPREAD = "the record's own year-to-year standard deviation of monthly mean temperature"
PRACTICE_SPREAD = "common practice, no published source"


@dataclass(frozen=True, slots=True, eq=False)
class Ensemble:
    """Daily air temperatures, observed then plausible, for several members.

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
        Days of the window before today that were not observed and were filled from the normals curve.
    spread_source : str
        Where ``spread_c`` comes from.
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

    @property
    def tmean_c(self) -> FloatArray:
        """Daily mean air temperature, (tmin + tmax) / 2, shape (members, days). [°C]"""
        return (self.tmin_c + self.tmax_c) / 2

    @property
    def days(self) -> int:
        return self.tmin_c.shape[1]

    def index_of(self, day: date) -> int:
        """Return the index of ``day``; outside 0..days-1 when the window does not hold it."""
        return (day - self.first).days

    def date_at(self, index: int) -> date:
        """Return the day at ``index``."""
        return self.first + timedelta(days=int(index))


class _Spread(NamedTuple):
    spread_c: float
    source: str


def ensemble(
    *, observed: DailyWeather | None, normals: Normals | None, today: date, first: date, days: int
) -> Ensemble:
    """Lay out observed weather and carry it on past today.

    Parameters
    ----------
    observed : DailyWeather or None
        The weather record. Rows on or after ``today`` are never taken as observations. A record lying wholly
        on or after ``today`` serves as climate only.
    normals : Normals or None
        Monthly normals; when None they are averaged from the record before ``today``.
    today : datetime.date
        First day whose weather is not yet known.
    first : datetime.date
        Day of index 0.
    days : int
        Length of the window, at least 1. [day]

    Returns
    -------
    Ensemble
        An observed day before today is the same in every member. With at least eight complete calendar years
        before today's year, each member follows one of those years from today on (28 February stands in for
        a 29 February it lacks) and unobserved days before today take the normals curve. Otherwise nine
        members follow the normals curve, each moved by one of the quantiles 0.1 to 0.9 of a normal
        distribution with standard deviation ``spread_c``, on every day not observed.

    Raises
    ------
    ClimateFault
        When ``days`` is below 1, or neither normals nor a record covering twelve months is given.

    Notes
    -----
    One amount for the whole window keeps the curve smooth but takes a warm spring to stay warm, so sums over
    many months spread somewhat too widely. ``spread_c`` is the record's own where it has three years of every
    month, otherwise 1.3 °C (common practice, no published source).
    """
    if days < 1:
        raise ClimateFault(f"ensemble: days must be at least 1, not {days}")
    past = observed.before(today) if observed is not None and observed.before(today).whole.any() else None
    record = past if past is not None else observed
    usual = _usual(normals, record)
    dates = days_from(first, days)
    spread = _spread(record)
    curve = np.stack([curve_on(usual.tmin_c, dates), curve_on(usual.tmax_c, dates)])[:, None, :]

    before_today = dates < np.datetime64(today, "D")
    years = _complete_years(past, today)
    if len(years) >= YEARS_NEEDED and past is not None:
        temperatures = np.where(before_today, curve, _as_in(past, years, dates))
    else:
        moves = np.array([NormalDist().inv_cdf(each) for each in QUANTILES]) * spread.spread_c
        temperatures = curve + moves[:, None]
    known = _overlay(temperatures, past, dates)
    return Ensemble(
        first=first,
        tmin_c=temperatures[0],
        tmax_c=temperatures[1],
        basis="years" if len(years) >= YEARS_NEEDED else "normals",
        members=temperatures.shape[1],
        spread_c=spread.spread_c,
        observed_until=past.dates[past.whole][-1].item() if past is not None else None,
        missing_days=int((before_today & ~known).sum()),
        spread_source=spread.source,
    )


def _usual(normals: Normals | None, record: DailyWeather | None) -> Normals:
    if normals is not None:
        return normals
    if record is None:
        raise ClimateFault("no weather is loaded: add twelve monthly normals, or a daily weather record")
    return normals_of(record)


def _spread(record: DailyWeather | None) -> _Spread:
    own = year_to_year_spread_c(record) if record is not None else None
    return _Spread(PRACTICE_SPREAD_C, PRACTICE_SPREAD) if own is None else _Spread(own, OWN_SPREAD)


def _complete_years(past: DailyWeather | None, today: date) -> list[int]:
    """Return the calendar years before today's with both temperatures on every day."""
    if past is None:
        return []
    observed_years, counts = np.unique(year_of(past.dates[past.whole]), return_counts=True)
    starts = (observed_years - 1970).astype("datetime64[Y]")
    lengths = ((starts + 1).astype("datetime64[D]") - starts.astype("datetime64[D]")).astype(np.int64)
    return [int(each) for each in observed_years[(counts == lengths) & (observed_years < today.year)]]


def _as_in(past: DailyWeather, years: list[int], dates: NDArray[np.datetime64]) -> FloatArray:
    """Return tmin and tmax of each year on the calendar days of ``dates``, shape (2, years, days)."""
    months = dates.astype("datetime64[M]")
    month = (months - dates.astype("datetime64[Y]").astype("datetime64[M]")).astype(np.int64)
    day = (dates - months.astype("datetime64[D]")).astype(np.int64)
    then = (np.array(years) - 1970).astype("datetime64[Y]").astype("datetime64[M]")[:, None] + month
    month_start = then.astype("datetime64[D]")
    last_day = ((then + 1).astype("datetime64[D]") - month_start).astype(np.int64) - 1
    index = (month_start + np.minimum(day, last_day) - np.datetime64(past.first, "D")).astype(np.int64)
    return np.stack([past.tmin_c[index], past.tmax_c[index]])


def _overlay(
    temperatures: FloatArray, past: DailyWeather | None, dates: NDArray[np.datetime64]
) -> NDArray[np.bool_]:
    """Write the observed days into every member, in place; return which days of the window were observed."""
    known = np.zeros(dates.size, dtype=bool)
    if past is None:
        return known
    index = (dates - np.datetime64(past.first, "D")).astype(np.int64)
    inside = (index >= 0) & (index < past.whole.size)
    known[inside] = past.whole[index[inside]]
    temperatures[0][:, known] = past.tmin_c[index[known]]
    temperatures[1][:, known] = past.tmax_c[index[known]]
    return known
