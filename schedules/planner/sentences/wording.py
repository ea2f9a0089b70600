"""Figures as people read them, metric or imperial."""

from collections.abc import Callable
from datetime import date
from typing import Literal

from schedules.planner.types import Values

Units = Literal["metric", "imperial"]
Sentence = Callable[["Figures"], str]

MM_PER_INCH = 25.4
MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]


def plain(number: float) -> str:
    """Return a number with at most one decimal, and none when it is whole."""
    rounded = round(number, 1)
    return f"{rounded:.0f}" if rounded == int(rounded) else f"{rounded:.1f}"


def metric_length(millimetres: float) -> str:
    return f"{plain(millimetres / 10)} cm" if millimetres >= 100 else f"{plain(millimetres)} mm"


def inch_words(millimetres: float) -> str:
    """Return '1/2 in', '6 in', '12 1/2 in': to a quarter, from a foot on to a half; an eighth at least."""
    eighths = millimetres / MM_PER_INCH * 8
    if eighths < 1.5:
        return "1/8 in"
    step = 4 if eighths >= 96 else 2
    whole, part = divmod(round(eighths / step) * step, 8)
    fraction = {0: "", 2: "1/4", 4: "1/2", 6: "3/4"}[part]
    return f"{' '.join(word for word in (str(whole) if whole else '', fraction) if word)} in"


class Figures:
    """A reason's values, each read in the reader's units."""

    def __init__(self, values: Values, units: Units) -> None:
        self.values = values
        self.imperial = units == "imperial"

    def number(self, name: str) -> float:
        value = self.values[name]
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise TypeError(f"reason value {name!r} is {value!r}, not a number")
        return float(value)

    def count(self, name: str) -> str:
        return plain(self.number(name))

    def text(self, name: str) -> str:
        return str(self.values[name])

    def has(self, name: str) -> bool:
        return self.values.get(name) is not None

    def degrees(self, name: str) -> str:
        celsius = self.number(name)
        return f"{celsius * 1.8 + 32:.0f} °F" if self.imperial else f"{plain(celsius)} °C"

    def warmth(self, name: str) -> str:
        """Return a difference of temperature."""
        kelvin = self.number(name)
        return f"{plain(kelvin * 1.8)} °F" if self.imperial else f"{plain(kelvin)} °C"

    def heat(self, name: str) -> str:
        """Return a heat sum."""
        return f"{self._heat(name)} degree days"

    def heat_range(self, least: str, most: str) -> str:
        return f"{self._heat(least)} to {self._heat(most)} degree days"

    def _heat(self, name: str) -> str:
        return f"{self.number(name) * (1.8 if self.imperial else 1):.0f}"

    def length(self, name: str) -> str:
        """Return millimetres, or inches as a rule has them: to a quarter, from a foot on to a half."""
        millimetres = self.number(name)
        return inch_words(millimetres) if self.imperial else metric_length(millimetres)

    def water(self, name: str) -> str:
        """Return water as a gauge has it: millimetres, or inches to a tenth."""
        millimetres = self.number(name)
        return f"{plain(millimetres / MM_PER_INCH)} in" if self.imperial else metric_length(millimetres)

    def height(self, name: str) -> str:
        centimetres = self.number(name)
        return f"{centimetres * 10 / MM_PER_INCH:.0f} in" if self.imperial else f"{plain(centimetres)} cm"

    def day(self, name: str) -> str:
        when = date.fromisoformat(self.text(name))
        return f"{when.day} {MONTHS[when.month - 1]} {when.year}"

    def of_several(self, word: str) -> str:
        """', round 2 of 3', and nothing where there is but one."""
        if self.number("stages") <= 1:
            return ""
        return f", {word} {self.count('stage')} of {self.count('stages')}"

    @property
    def basis(self) -> str:
        """Return what the date rests on, as a clause without a full stop."""
        if self.text("basis") == "years":
            return f"reckoned over {self.count('basis_years')} past years of this site"
        return f"reckoned from monthly normals ± {self.warmth('spread_c')}"
