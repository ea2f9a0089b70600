"""The invented weather: normals, one year's own turn of warm and cold months, and a spell of changeable days.

The years of weather_years.csv come round one after another and the spell runs over them without end, so that
any day's weather follows from its date alone. Nothing of it was ever measured anywhere.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

import numpy as np

from plots.models import Site
from schedules.agronomy.climate import DailyWeather, Normals, daily_curve, ensemble
from schedules.agronomy.climate.series import FloatArray
from schedules.demo.layout import MONTHS_C, SPELL, Layout
from schedules.demo.tables import Row
from schedules.models import WeatherDay
from schedules.planner import SiteFacts
from schedules.planner.site_curves import SiteCurves
from schedules.weather_selectors import monthly_normals, observed_weather

# What nearly every sowing looks at, counted from the day of reading.
LOOKED_BACK, LOOKED_AHEAD = timedelta(days=500), timedelta(days=1000)
MOST_KEPT = 400
LAST_DAY = 364  # 31 December of a leap year takes the curve's last value


def weather_lay_out(layout: Layout, site: Site, *, first: date, today: date) -> int:
    """Write every day from the first to yesterday that is not there yet; a day's weather never changes."""
    known = set(WeatherDay.objects.filter(site=site).values_list("day", flat=True))
    sky = _Sky(layout)
    wanted = (first + timedelta(days=n) for n in range((today - first).days))
    rows = [sky.on(day, site) for day in wanted if day not in known]
    return len(WeatherDay.objects.bulk_create(rows, batch_size=500))


class _Sky:
    """The files of the weather as curves over the year."""

    def __init__(self, layout: Layout) -> None:
        months = sorted(layout.normals.rows, key=lambda row: row.month)
        self._tmin_c, self._tmax_c, self._rain, self._wind = (
            daily_curve(np.array(each))
            for each in (
                [row.tmin_c for row in months],
                [row.tmax_c for row in months],
                _share([row.rain_mm or 0.0 for row in months]),
                _share([row.wind_ms or 0.0 for row in months]),
            )
        )
        self._years = [
            (daily_curve(np.array([row.number(name) for name in MONTHS_C])), row.number("rain_pct") / 100)
            for row in layout.years
        ]
        self._spell = [_offsets(row) for row in layout.spell]

    def on(self, day: date, site: Site) -> WeatherDay:
        warmer_c, wetter = self._years[day.year % len(self._years)]
        tmin_off_c, tmax_off_c, rain_mm, wind_ms = self._spell[day.toordinal() % len(self._spell)]
        index = min(day.timetuple().tm_yday - 1, LAST_DAY)
        return WeatherDay(
            site=site,
            day=day,
            tmin_c=round(float(self._tmin_c[index] + warmer_c[index]) + tmin_off_c, 1),
            tmax_c=round(float(self._tmax_c[index] + warmer_c[index]) + tmax_off_c, 1),
            rain_mm=round(rain_mm * wetter * float(self._rain[index]), 1),
            wind_ms=round(wind_ms * float(self._wind[index]), 1),
        )


def _offsets(row: Row) -> tuple[float, float, float, float]:
    tmin_off_c, tmax_off_c, rain_mm, wind_ms = (row.number(name) for name in SPELL)
    return tmin_off_c, tmax_off_c, rain_mm, wind_ms


def _share(monthly: Sequence[float]) -> FloatArray:
    """Each month against the year's mean."""
    values = np.array(monthly)
    share: FloatArray = values / values.mean()
    return share


@dataclass(frozen=True)
class WeatherBook:
    """A site's weather read once, opened at one day after another."""

    observed: DailyWeather
    normals: Normals
    opened: dict[date, SiteCurves] = field(default_factory=dict)

    @classmethod
    def of(cls, site: Site) -> "WeatherBook":
        observed, normals = observed_weather(site), monthly_normals(site)
        if observed is None or normals is None:
            raise LookupError(f"{site} has no weather laid out")
        return cls(observed, normals)

    def known_on(self, today: date, facts: SiteFacts, *, first: date, days: int) -> SiteCurves:
        """What the planner would have been given on a day: nothing observed on it or later.

        Growers read their plans on the same days, so what a usual sowing looks at is kept by the day.
        """
        begin, end = first, first + timedelta(days=days)
        is_usual = today - LOOKED_BACK <= begin and end <= today + LOOKED_AHEAD
        if is_usual:
            begin, end = today - LOOKED_BACK, today + LOOKED_AHEAD
        if is_usual and today in self.opened:
            return self.opened[today]
        laid = ensemble(
            observed=self.observed.before(today),
            normals=self.normals,
            today=today,
            first=begin,
            days=(end - begin).days,
        )
        curves = SiteCurves(laid, facts)
        if is_usual:
            self.opened[today] = curves
            if len(self.opened) > MOST_KEPT:
                self.opened.pop(next(iter(self.opened)))
        return curves
