"""Measures as growers say them: square metres and poles, metres and feet. Pure arithmetic.

Everything follows from 1 yd = 0.9144 m exactly; a pole (rod, perch) is 5.5 yd, a square pole 30.25 sq yd.
Areas are stored in square metres only; poles are a way of saying them.
"""

from typing import Literal

METRES_PER_YARD = 0.9144
METRES_PER_FOOT = METRES_PER_YARD / 3
METRES_PER_INCH = METRES_PER_FOOT / 12
YARDS_PER_POLE = 5.5
M2_PER_POLE = (YARDS_PER_POLE * METRES_PER_YARD) ** 2
INCHES_PER_FOOT = 12

# Below half a pole nobody speaks of poles.
SMALLEST_SAID_POLES = 0.5


def poles(area_m2: float) -> float:
    """Square poles in an area."""
    return area_m2 / M2_PER_POLE


def area_m2(square_poles: float) -> float:
    """Square metres in a number of square poles."""
    return square_poles * M2_PER_POLE


def feet_and_inches(length_m: float) -> tuple[int, int]:
    """Whole feet and the nearest inch; twelve inches are never left over."""
    return divmod(round(length_m / METRES_PER_INCH), INCHES_PER_FOOT)


def area_words(area_m2: float) -> str:
    """'250 m², about 10 poles'; to the nearest half pole, and without poles below half of one."""
    metric = f"{_plain(area_m2)} m²"
    halves = round(poles(area_m2) * 2)
    if halves < SMALLEST_SAID_POLES * 2:
        return metric
    whole, half = divmod(halves, 2)
    count = f"{whole or ''}{'½' if half else ''}"
    return f"{metric}, about {count} {'pole' if halves <= 2 else 'poles'}"


def length_words(length_m: float, units: Literal["metric", "imperial"] = "metric") -> str:
    """'1.2 m', or '3 ft 11 in'."""
    if units == "metric":
        return f"{_plain(length_m)} m"
    feet, inches = feet_and_inches(length_m)
    parts = [f"{feet} ft" if feet else "", f"{inches} in" if inches or not feet else ""]
    return " ".join(part for part in parts if part)


def _plain(number: float) -> str:
    """At most two decimals, and none that say nothing."""
    return f"{number:.2f}".rstrip("0").rstrip(".")
