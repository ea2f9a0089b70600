"""Readings in the reader's own measures, and back."""

from typing import Literal

from schedules.planner.sentences.wording import MM_PER_INCH, Units

UNIT: dict[str, dict[Units, str]] = {
    "temperature": {"metric": "°C", "imperial": "°F"},
    "rain": {"metric": "mm", "imperial": "in"},
    "depth": {"metric": "cm", "imperial": "in"},
    "wind": {"metric": "m/s", "imperial": "mph"},
}
Measure = Literal["temperature", "rain", "depth", "wind"]
M_PER_MILE, S_PER_HOUR = 1609.344, 3600.0


def measure_of(quantity: str) -> Measure:
    if quantity == "rain_mm":
        return "rain"
    if quantity == "wind_ms":
        return "wind"
    return "depth" if quantity == "depth_mm" else "temperature"


def unit_of(quantity: str, units: Units) -> str:
    return UNIT[measure_of(quantity)][units]


def to_metric(quantity: str, written: float, units: Units) -> float:
    """What a member wrote, as it is stored: °C, mm."""
    measure = measure_of(quantity)
    if measure == "depth":
        return written * (MM_PER_INCH if units == "imperial" else 10.0)
    if units == "metric":
        return written
    return (written - 32) / 1.8 if measure == "temperature" else written * MM_PER_INCH


def as_read(quantity: str, value: float, units: Units) -> str:
    """A stored value as a figure without its unit."""
    measure = measure_of(quantity)
    if measure == "depth":
        return f"{value / MM_PER_INCH:.0f}" if units == "imperial" else f"{value / 10:g}"
    if units == "metric":
        return _plain(value)
    if measure == "temperature":
        return f"{value * 1.8 + 32:.0f}"
    if measure == "wind":
        return f"{value * S_PER_HOUR / M_PER_MILE:.0f}"
    return f"{value / MM_PER_INCH:.2f}"


def value_words(quantity: str, value: float, units: Units) -> str:
    """'4.5 °C', or '40 °F'; minus as a minus."""
    return f"{as_read(quantity, value, units)} {unit_of(quantity, units)}"


def difference_words(value_c: float, units: Units) -> str:
    """A difference of temperature, without its sign."""
    size = abs(value_c) * (1.8 if units == "imperial" else 1.0)
    return f"{size:.1f} {UNIT['temperature'][units]}"


def _plain(value: float) -> str:
    rounded = round(value, 1)
    said = f"{rounded:.0f}" if rounded == int(rounded) else f"{rounded:.1f}"
    return said.replace("-", "−") if rounded else "0"
