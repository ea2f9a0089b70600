"""Weather behind the planner: observed days, monthly normals, and an ensemble of plausible futures."""

from schedules.agronomy.climate.ensembles import Ensemble
from schedules.agronomy.climate.gaps import BRIDGE, Gap, gaps_of
from schedules.agronomy.climate.laying import FORECAST_DAYS, PRACTICE_SPREAD_C, YEARS_NEEDED, ensemble
from schedules.agronomy.climate.monthly import daily_curve, normals_of, year_to_year_spread_c
from schedules.agronomy.climate.quality import Suspect, crossed, far_from_past, impossible
from schedules.agronomy.climate.series import ClimateFault, DailyWeather, Normals
from schedules.agronomy.climate.units import WrongUnit, wrong_unit

__all__ = [
    "BRIDGE",
    "FORECAST_DAYS",
    "PRACTICE_SPREAD_C",
    "YEARS_NEEDED",
    "ClimateFault",
    "DailyWeather",
    "Ensemble",
    "Gap",
    "Normals",
    "Suspect",
    "WrongUnit",
    "crossed",
    "daily_curve",
    "ensemble",
    "far_from_past",
    "gaps_of",
    "impossible",
    "normals_of",
    "wrong_unit",
    "year_to_year_spread_c",
]
