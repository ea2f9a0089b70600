"""Weather files as tests hand them in, and what the command answers."""

from datetime import UTC, date, datetime
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from plots.models import Site
from schedules.models import WeatherDay
from schedules.weather_csv import read_weather
from schedules.weather_services import weather_import
from society.models import Society

NOW = datetime(2025, 6, 1, 12, tzinfo=UTC)
HEADER = "date,tmin_c,tmax_c,rain_mm,wind_ms"
NORMALS = "month,tmin_c,tmax_c,rain_mm,wind_ms\n" + "\n".join(f"{m},{m},{m + 8},50,3" for m in range(1, 13))
BAD_FILE = """date,tmin,tmax_c,rain_mm
2024-02-28,1,7,0
2024-02-30,1,7,0
2024-03-01,9,3,0
2024-03-02,mild,7,0
"""


def site_called(name: str, slug: str) -> Site:
    society = Society.objects.first() or Society.objects.create(name="Fennel Lane Society")
    return Site.objects.create(
        society=society, name=name, slug=slug, latitude=52.0, longitude=0.0, zone="Europe/London"
    )


def take(site: Site, *rows: str, skip_bad: bool = False, dry_run: bool = False, header: str = HEADER):
    file = read_weather("\n".join([header, *rows]))
    return weather_import(site=site, file=file, skip_bad=skip_bad, now=NOW, dry_run=dry_run)


def stored(day: date) -> tuple:
    return WeatherDay.objects.values_list("tmin_c", "tmax_c", "rain_mm", "wind_ms").get(day=day)


def run(path, *options: str) -> str:
    out = StringIO()
    call_command("weather_import", str(path), "--site", "fennel-lane", *options, stdout=out)
    return out.getvalue()


def refused(path, *options: str) -> tuple[str, CommandError]:
    out = StringIO()
    with pytest.raises(CommandError) as caught:
        call_command("weather_import", str(path), "--site", "fennel-lane", *options, stdout=out)
    return out.getvalue(), caught.value
