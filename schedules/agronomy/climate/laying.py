"""Laying observed weather out over a window and carrying it on past today."""

from dataclasses import dataclass
from datetime import date, timedelta
from statistics import NormalDist
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from schedules.agronomy.climate.ensembles import PRACTICE_SPREAD, Ensemble
from schedules.agronomy.climate.gaps import uncrossed
from schedules.agronomy.climate.monthly import curve_on, normals_of, year_to_year_spread_c
from schedules.agronomy.climate.past import BoolArray, Past, as_in, has_rain, past_of, years_that_count
from schedules.agronomy.climate.rain import (
    RAIN_PATTERN,
    RAIN_UNKNOWN,
    RAIN_YEARS,
    borrowed,
    rain_pattern,
    usual_rain_mm,
)
from schedules.agronomy.climate.series import ClimateFault, DailyWeather, FloatArray, Normals, days_from

YEARS_NEEDED = 8
PRACTICE_SPREAD_C = 1.3
QUANTILES = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)
OWN_SPREAD = "the record's own year-to-year standard deviation of monthly mean temperature"
# Skill beyond ten days is little better than the usual: common practice, no published source.
FORECAST_DAYS = 10


def ensemble(
    *,
    observed: DailyWeather | None,
    normals: Normals | None,
    today: date,
    first: date,
    days: int,
    forecast: DailyWeather | None = None,
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
    forecast : DailyWeather or None
        A forecast; days before ``today`` and from the eleventh day on are left out of it.

    Returns
    -------
    Ensemble
        An observed day before today is the same in every member. With at least eight calendar years before
        today's year that count (:func:`years_that_count`), each member follows one of those years (28
        February stands in for a 29 February it lacks). Otherwise nine members follow the normals curve, each
        moved by one of the quantiles 0.1 to 0.9 of a normal distribution with standard deviation
        ``spread_c``. So do days before today that were not observed, but for gaps of up to three days, which
        are bridged and the same in every member.

        Rain that was not observed is that of the member's year where eight years have it, otherwise the
        monthly totals laid out by :func:`rain_pattern`. A missing reading of rain never counts as dry.

    Raises
    ------
    ClimateFault
        When ``days`` is below 1, or neither normals nor a record covering twelve months is given.

    Notes
    -----
    One amount for the whole window keeps the curve smooth but takes a warm spring to stay warm, so sums over
    many months spread somewhat too widely. ``spread_c`` is the record's own where it has three years of every
    month, otherwise 1.3 °C (common practice, no published source). Where months are warm or cold beside the
    usual says nothing here of their rain when the basis is "normals".
    """
    if days < 1:
        raise ClimateFault(f"ensemble: days must be at least 1, not {days}")
    known = observed.before(today) if observed is not None and observed.before(today).whole.any() else None
    record = known if known is not None else observed
    usual, spread = _usual(normals, record), _spread(record)
    past = past_of(known, usual, today) if known is not None else None
    years = years_that_count(past, today)
    years = years if len(years) >= YEARS_NEEDED else []

    dates = days_from(first, days)
    at = as_in(past, years, dates) if past is not None and years else None
    window = _Window(dates, today, past, years, at)
    temperatures, rain = window.plausible(usual, spread.spread_c), _rain(window, normals, record)
    filled, bridged = window.lay_temperatures(temperatures)
    rain_known = window.lay_rain(rain.mm)
    forecast_until = window.lay_forecast(temperatures, rain.mm, forecast, filled)
    tmin_c, tmax_c = uncrossed(temperatures[0], temperatures[1], filled)
    is_missing = window.before_today & (filled & ~bridged).any(axis=0)
    knows_rain = rain.source != RAIN_UNKNOWN
    return Ensemble(
        first=first,
        tmin_c=tmin_c,
        tmax_c=tmax_c,
        basis="years" if years else "normals",
        members=window.members,
        spread_c=spread.spread_c,
        observed_until=known.dates[known.whole][-1].item() if known is not None else None,
        missing_days=int(is_missing.sum()),
        spread_source=spread.source,
        rain_mm=rain.mm,
        bridged_days=int((window.before_today & bridged.any(axis=0) & ~is_missing).sum()),
        rain_missing_days=int((window.before_today & ~rain_known).sum()) if knows_rain else 0,
        forecast_until=forecast_until,
        is_missing=is_missing,
        rain_source=rain.source,
    )


class _Spread(NamedTuple):
    spread_c: float
    source: str


class _Rain(NamedTuple):
    mm: FloatArray
    source: str


def _usual(normals: Normals | None, record: DailyWeather | None) -> Normals:
    if normals is not None:
        return normals
    if record is None:
        raise ClimateFault("no weather is loaded: add twelve monthly normals, or a daily weather record")
    return normals_of(record)


def _spread(record: DailyWeather | None) -> _Spread:
    own = year_to_year_spread_c(record) if record is not None else None
    return _Spread(PRACTICE_SPREAD_C, PRACTICE_SPREAD) if own is None else _Spread(own, OWN_SPREAD)


@dataclass(frozen=True, slots=True, eq=False)
class _Window:
    """The days to lay out, what is known of them, and the years that stand for those to come.

    ``at`` says where in the past each year's calendar days stand, shape (years, days); None without years.
    """

    dates: NDArray[np.datetime64]
    today: date
    past: Past | None
    years: list[int]
    at: NDArray[np.int64] | None

    @property
    def members(self) -> int:
        return len(self.years) or len(QUANTILES)

    @property
    def before_today(self) -> BoolArray:
        return self.dates < np.datetime64(self.today, "D")

    def plausible(self, usual: Normals, spread_c: float) -> FloatArray:
        """Return the members' own temperatures on every day, shape (2, members, days)."""
        if self.at is not None and self.past is not None:
            return self.past.temperatures_c[:, self.at]
        curve = np.stack([curve_on(usual.tmin_c, self.dates), curve_on(usual.tmax_c, self.dates)])
        moves = np.array([NormalDist().inv_cdf(each) for each in QUANTILES]) * spread_c
        return curve[:, None, :] + moves[:, None]

    def lay_temperatures(self, temperatures: FloatArray) -> tuple[BoolArray, BoolArray]:
        """Write the record into every member, in place; return what was not observed, what was bridged.

        Both have shape (2, days), minimum first. A bridged value was not observed either.
        """
        filled, bridged = (
            np.ones((2, self.dates.size), dtype=bool),
            np.zeros((2, self.dates.size), dtype=bool),
        )
        if self.past is None:
            return filled, bridged
        index, inside = self.past.index_on(self.dates)
        for row in range(2):
            values = self.past.temperatures_c[row, index[inside]]
            at = np.flatnonzero(inside)[np.isfinite(values)]
            temperatures[row][:, at] = values[np.isfinite(values)]
            bridged[row, inside] = self.past.is_bridged[row, index[inside]]
            filled[row, at] = bridged[row, at]
        return filled, bridged

    def lay_rain(self, rain_mm: FloatArray) -> BoolArray:
        """Write observed rain into every member, in place; return the days on which it was observed."""
        known = np.zeros(self.dates.size, dtype=bool)
        if self.past is not None:
            index, inside = self.past.index_on(self.dates)
            values = self.past.rain_mm[index[inside]]
            known[inside] = np.isfinite(values)
            if not np.isnan(rain_mm[0, 0]):
                rain_mm[:, known] = values[np.isfinite(values)]
        return known

    def lay_forecast(
        self, temperatures: FloatArray, rain_mm: FloatArray, forecast: DailyWeather | None, filled: BoolArray
    ) -> date | None:
        """Write a forecast into every member, in place; return its last day."""
        if forecast is None:
            return None
        index = (self.dates - np.datetime64(forecast.first, "D")).astype(np.int64)
        end = np.datetime64(self.today + timedelta(days=FORECAST_DAYS), "D")
        near = ~self.before_today & (self.dates < end) & (index >= 0) & (index < forecast.whole.size)
        at = np.flatnonzero(near)[forecast.whole[index[near]]]
        temperatures[0][:, at], temperatures[1][:, at] = (
            forecast.tmin_c[index[at]],
            forecast.tmax_c[index[at]],
        )
        filled[:, at] = False
        wet = np.flatnonzero(near)[np.isfinite(forecast.rain_mm[index[near]])]
        if not np.isnan(rain_mm[0, 0]):
            rain_mm[:, wet] = forecast.rain_mm[index[wet]]
        return self.dates[at[-1]].item() if at.size else None


def _rain(window: _Window, normals: Normals | None, record: DailyWeather | None) -> _Rain:
    """Return the members' own rain on every day, shape (members, days)."""
    if window.at is not None and window.past is not None:
        is_own = has_rain(window.past, window.years)
        if is_own.sum() >= YEARS_NEEDED:
            rain = borrowed(window.past.rain_mm[window.at], is_own)
            if np.isfinite(rain).all():
                return _Rain(rain, RAIN_YEARS)
    monthly_mm = usual_rain_mm(normals, record)
    if monthly_mm is None:
        return _Rain(np.full((window.members, window.dates.size), np.nan), RAIN_UNKNOWN)
    return _Rain(rain_pattern(monthly_mm, window.dates, window.members).copy(), RAIN_PATTERN)
