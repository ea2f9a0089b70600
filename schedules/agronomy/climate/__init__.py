"""Weather behind the planner: observed days, monthly normals, and an ensemble of plausible futures."""

from schedules.agronomy.climate.ensembles import Ensemble
from schedules.agronomy.climate.gaps import BRIDGE
from schedules.agronomy.climate.laying import PRACTICE_SPREAD_C, YEARS_NEEDED, ensemble
from schedules.agronomy.climate.monthly import daily_curve, normals_of, year_to_year_spread_c
from schedules.agronomy.climate.series import ClimateFault, DailyWeather, Normals

__all__ = [
    "BRIDGE",
    "PRACTICE_SPREAD_C",
    "YEARS_NEEDED",
    "ClimateFault",
    "DailyWeather",
    "Ensemble",
    "Normals",
    "daily_curve",
    "ensemble",
    "normals_of",
    "year_to_year_spread_c",
]
