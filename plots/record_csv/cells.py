"""From one cell's text to a length or corners, and how a spreadsheet is kept from running what is text."""

import math
import re

from plots.record_csv.columns import UNITS_M
from plots.record_csv.rows import Corners
from plots.tables import CellFault

# Beginnings that a spreadsheet would run as a formula.
RUNS = "=+-@\t\r"
NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?", re.ASCII)
LENGTH = re.compile(r"(\d+(?:[.,]\d+)?)\s*([a-z]*)\.?", re.ASCII)
# A side of a plot or a bed, in metres: ten kilometres are a slip of the keyboard.
LONGEST_M, FURTHEST_M, MOST_CORNERS = 10_000, 10_000, 200


def escaped(text: str) -> str:
    """Text that no spreadsheet takes for a formula; `unescaped` gives it back as it was."""
    return f"'{text}" if text.lstrip("'").startswith(tuple(RUNS)) else text


def unescaped(text: str) -> str:
    """Take off one apostrophe that stands before a sign, and no other."""
    return text[1:] if text.startswith("'") and text.lstrip("'").startswith(tuple(RUNS)) else text


def read_length(text: str, unit_m: float | None) -> float:
    """Metres, from a number with its unit, or in the unit of its column; raises CellFault."""
    match = LENGTH.fullmatch(text.casefold())
    if match is None:
        raise CellFault("This is not a length.", "Write a number, like 2.5, and its unit: m, cm or ft.")
    if match[2] and match[2] not in UNITS_M:
        raise CellFault(f"The unit {match[2][:20]} is not known.", "Write m, cm or ft.")
    if not match[2] and unit_m is None:
        remedy = "Name the column with it, like length_m, or write it into the cell, like 2.5 m."
        raise CellFault("The length does not state its unit.", remedy)
    value = float(match[1].replace(",", ".")) * (UNITS_M[match[2]] if match[2] else unit_m or 1.0)
    if value > LONGEST_M:
        raise CellFault(f"{value:g} m is longer than any ground here.", "Correct the length or its unit.")
    return value


def read_corners(text: str) -> Corners:
    """'1.2 0.5; 6.2 0.5; 6.2 1.7': metres east and north in the site's frame; raises CellFault."""
    corners = []
    for place, corner in enumerate(text.split(";"), start=1):
        numbers = corner.split()
        if len(numbers) != 2 or not all(NUMBER.fullmatch(each) for each in numbers):
            raise CellFault(
                f"Corner {place} is not two numbers.", "Write metres east and north: 1.2 0.5; 6.2 0.5; …"
            )
        east, north = (float(each.replace(",", ".")) for each in numbers)
        if max(abs(east), abs(north)) > FURTHEST_M or not math.isfinite(east + north):
            raise CellFault(
                f"Corner {place} is more than 10 km away.", "Correct it; the corners are in metres."
            )
        corners.append((east, north))
    if not 3 <= len(corners) <= MOST_CORNERS:
        raise CellFault(f"{len(corners)} corners make no outline.", f"Give three to {MOST_CORNERS} of them.")
    return tuple(corners)
