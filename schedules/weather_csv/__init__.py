"""Reading a weather CSV: every fault named by line, nothing guessed. Pure: no Django, no clock, no files."""

from plots.tables import Fault, Undecodable, decode
from schedules.weather_csv.arrays import daily, normals
from schedules.weather_csv.judging import Judged, judge, set_aside
from schedules.weather_csv.normal_months import is_normals, read_normals, read_normals_bytes
from schedules.weather_csv.observed import read_weather, read_weather_bytes
from schedules.weather_csv.rows import NormalRow, NormalsFile, WeatherFile, WeatherRow
from schedules.weather_csv.wording import suspect_line, wrong_unit_line

__all__ = [
    "Fault",
    "Judged",
    "NormalRow",
    "NormalsFile",
    "Undecodable",
    "WeatherFile",
    "WeatherRow",
    "daily",
    "decode",
    "is_normals",
    "judge",
    "normals",
    "read_normals",
    "read_normals_bytes",
    "read_weather",
    "read_weather_bytes",
    "set_aside",
    "suspect_line",
    "wrong_unit_line",
]
