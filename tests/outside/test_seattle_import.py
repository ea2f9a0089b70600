"""A published record through the import, against figures worked out without this project's code.

Source: "seattle-weather" as shipped in the vega_datasets package (0.9.0): daily precipitation, temperature
extremes and wind in Seattle from 2012 to 2015, drawn from NOAA data, public domain. The file states no units;
mm, °C and m/s are from memory. The means and sums below come from the published file by pandas alone
(``DataFrame.mean`` and a ``groupby`` of the year), so they do not hang on the units.
"""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db.models import Avg, Sum
from vega_datasets import data

from plots.models import Site
from schedules.models import WeatherDay
from society.models import Society

pytestmark = pytest.mark.django_db

PUBLISHED_HEADER = "date,precipitation,temp_max,temp_min,wind,weather"
DAYS = 1461
MEANS = {"tmax_c": 16.439083, "tmin_c": 8.234771, "wind_ms": 3.241136}
RAIN_MM = {2012: 1226.0, 2013: 828.0, 2014: 1232.8, 2015: 1139.2}


@pytest.fixture
def published(tmp_path) -> Path:
    """The published file with units written into its header, its rows untouched."""
    text = Path(data.seattle_weather.filepath).read_text()
    header, rows = text.split("\n", 1)
    assert header.strip() == PUBLISHED_HEADER
    path = tmp_path / "seattle.csv"
    path.write_text(f"date,rain_mm,tmax_c,tmin_c,wind_ms,weather\n{rows}")
    return path


def run(path: Path) -> str:
    society = Society.objects.first() or Society.objects.create(name="Sound Shore Society")
    place = {"latitude": 47.45, "longitude": -122.31, "zone": "America/Los_Angeles"}
    Site.objects.get_or_create(
        slug="sound-shore", defaults={"society": society, "name": "Sound Shore", **place}
    )
    out = StringIO()
    call_command("weather_import", str(path), "--site", "sound-shore", stdout=out)
    return out.getvalue()


def test_the_four_years_arrive_whole(published):
    assert "1461 new, 0 changed, 0 unchanged" in run(published)
    assert WeatherDay.objects.count() == DAYS


def test_the_means_are_those_of_the_published_file(published):
    run(published)
    means = WeatherDay.objects.aggregate(**{name: Avg(name) for name in MEANS})
    assert means == pytest.approx(MEANS, abs=5e-7)


@pytest.mark.parametrize(("year", "rain_mm"), RAIN_MM.items())
def test_the_rain_of_each_year_is_that_of_the_published_file(published, year, rain_mm):
    run(published)
    found = WeatherDay.objects.filter(day__year=year).aggregate(total=Sum("rain_mm"))["total"]
    assert found == pytest.approx(rain_mm, abs=1e-6)


def test_every_value_is_the_published_one(published):
    run(published)
    stored = WeatherDay.objects.order_by("day").values_list("day", "rain_mm", "tmax_c", "tmin_c", "wind_ms")
    table = data.seattle_weather()
    columns = ["precipitation", "temp_max", "temp_min", "wind"]
    assert list(stored) == list(
        zip(table["date"].dt.date, *(table[name].astype(float) for name in columns), strict=True)
    )


def test_a_second_import_changes_nothing(published):
    run(published)
    before = list(WeatherDay.objects.order_by("pk").values())
    assert "0 new, 0 changed, 1461 unchanged" in run(published)
    assert list(WeatherDay.objects.order_by("pk").values()) == before
