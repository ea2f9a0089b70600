"""The invented weather: the normals' curve with one spell of changeable days laid over it again and again."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from plots.models import Site
from schedules.agronomy.climate import DailyWeather, Ensemble, Normals, daily_curve, ensemble
from schedules.demo.layout import Layout
from schedules.models import WeatherDay
from schedules.weather_selectors import monthly_normals, observed_weather

LAST_DAY = 364  # 31 December of a leap year takes the curve's last value


def weather_lay_out(layout: Layout, site: Site, *, first: date, today: date) -> int:
    """Write every day from the first to yesterday that is not there yet; a day's weather never changes."""
    known = set(WeatherDay.objects.filter(site=site).values_list("day", flat=True))
    months = sorted(layout.normals.rows, key=lambda row: row.month)
    tmin_c = daily_curve(np.array([row.tmin_c for row in months]))
    tmax_c = daily_curve(np.array([row.tmax_c for row in months]))
    spell = [
        tuple(row.number(name) for name in ("tmin_off_c", "tmax_off_c", "rain_mm", "wind_ms"))
        for row in layout.spell
    ]
    rows = []
    for day in (first + timedelta(days=n) for n in range((today - first).days)):
        if day in known:
            continue
        tmin_off_c, tmax_off_c, rain_mm, wind_ms = spell[day.toordinal() % len(spell)]
        index = min(day.timetuple().tm_yday - 1, LAST_DAY)
        rows.append(
            WeatherDay(
                site=site,
                day=day,
                tmin_c=round(float(tmin_c[index]) + tmin_off_c, 1),
                tmax_c=round(float(tmax_c[index]) + tmax_off_c, 1),
                rain_mm=rain_mm,
                wind_ms=wind_ms,
            )
        )
    return len(WeatherDay.objects.bulk_create(rows, batch_size=500))


@dataclass(frozen=True, slots=True)
class WeatherBook:
    """A site's weather read once, opened at one day after another."""

    observed: DailyWeather
    normals: Normals

    @classmethod
    def of(cls, site: Site) -> "WeatherBook":
        observed, normals = observed_weather(site), monthly_normals(site)
        if observed is None or normals is None:
            raise LookupError(f"{site} has no weather laid out")
        return cls(observed, normals)

    def known_on(self, today: date, *, first: date, days: int) -> Ensemble:
        """What the planner would have been given on a day: nothing observed on it or later."""
        return ensemble(
            observed=self.observed.before(today), normals=self.normals, today=today, first=first, days=days
        )
