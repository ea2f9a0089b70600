"""In which units a page answers."""

from schedules.planner.sentences import Units
from society.permissions import Asker


def reading_units(asker: Asker) -> Units:
    return "imperial" if asker.units == "imperial" else "metric"
