"""Reading a site's weather as agronomy wants it. Nothing here writes."""

from datetime import date, timedelta

from django.db.models import Q

from plots.models import Site
from schedules.agronomy.climate import FORECAST_DAYS, DailyWeather, Ensemble, Normals, ensemble
from schedules.models import NormalMonth, WeatherDay
from schedules.reading_selectors import with_readings
from schedules.weather_comparison import QUANTITIES
from schedules.weather_csv import NormalRow, WeatherRow, daily, normals

MONTHS = 12
# Rows from the database stand on no line of a file.
NO_LINE = 0


def observed_weather(site: Site, *, before: date | None = None) -> DailyWeather | None:
    """The observed days of a site without forecasts, gaps as NaN; None when nothing was observed.

    What members read stands where no file holds anything of that day.
    """
    days = WeatherDay.objects.filter(site=site, kind=WeatherDay.Kind.OBSERVED)
    if before is not None:
        days = days.filter(day__lt=before)
    rows = [WeatherRow(NO_LINE, *row) for row in days.order_by("day").values_list("day", *QUANTITIES)]
    rows = with_readings(site, rows, before=before)
    return daily(rows) if rows else None


def monthly_normals(site: Site) -> Normals | None:
    """The twelve monthly means of a site; None unless all twelve are there."""
    months = NormalMonth.objects.filter(site=site).order_by("month").values_list("month", *QUANTITIES)
    rows = [NormalRow(NO_LINE, *row) for row in months]
    return normals(rows) if len(rows) == MONTHS else None


def climate(site: Site, *, today: date, first: date, days: int) -> Ensemble:
    """What the planner works with: record and readings, a forecast of ten days at most, the normals.

    Raises ClimateFault when the site has neither record nor normals.
    """
    kinds = WeatherDay.Kind
    end = today + timedelta(days=FORECAST_DAYS)
    known = Q(kind=kinds.OBSERVED, day__lt=today) | Q(kind=kinds.FORECAST, day__gte=today, day__lt=end)
    rows: dict[str, list[WeatherRow]] = {kinds.OBSERVED: [], kinds.FORECAST: []}
    found = WeatherDay.objects.filter(known, site=site).order_by("day")
    for kind, *row in found.values_list("kind", "day", *QUANTITIES):
        rows[kind].append(WeatherRow(NO_LINE, *row))
    observed = with_readings(site, rows[kinds.OBSERVED], before=today)
    forecast = rows[kinds.FORECAST]
    return ensemble(
        observed=daily(observed) if observed else None,
        normals=monthly_normals(site),
        today=today,
        first=first,
        days=days,
        forecast=daily(forecast) if forecast else None,
    )
