"""From one cell's text to a number, a day or a month, or to the reason why not."""

import math
import re
from calendar import monthrange
from datetime import date

from plots.tables import CellFault

NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d{1,3})?", re.ASCII | re.IGNORECASE)
DECIMAL_COMMA = re.compile(r"[+-]?\d*,\d+", re.ASCII)
DAY = re.compile(r"(\d{4})([-/])(\d{2})\2(\d{2})", re.ASCII)
NOT_FINITE = {"nan", "inf", "infinity", "-inf", "+inf", "-infinity", "+infinity"}
# Earlier dates are typing slips such as 0202 for 2020: common practice, no published source.
EARLIEST = date(1850, 1, 1)
WRITE_DAY = "Write the date as YYYY-MM-DD, for example 2024-03-09."


def unquoted(text: str) -> str:
    """Take off the apostrophe that spreadsheet-safe exports put before a sign."""
    return text[1:] if text.startswith("'") and text[1:2] in {"=", "+", "-", "@"} else text


def read_number(text: str) -> float:
    """A plain decimal number with a point; raises CellFault."""
    written = unquoted(text).replace("\N{MINUS SIGN}", "-")
    if written.casefold() in NOT_FINITE:
        raise CellFault(f"{written} is not a number.", "Leave the cell empty where a value is missing.")
    if DECIMAL_COMMA.fullmatch(written):
        point = written.replace(",", ".")
        raise CellFault("The number has a decimal comma.", f"Write it with a point: {point}.")
    if not NUMBER.fullmatch(written):
        raise CellFault(
            "This is not a number.", "Write a number, or leave the cell empty for a missing value."
        )
    value = float(written)
    if not math.isfinite(value):
        raise CellFault(
            "The number is too large.", "Correct it, or leave the cell empty for a missing value."
        )
    return value


def read_day(text: str) -> date:
    """YYYY-MM-DD or YYYY/MM/DD; raises CellFault."""
    match = DAY.fullmatch(text)
    if not text:
        raise CellFault("The date is missing.", WRITE_DAY)
    if match is None:
        raise CellFault("This is not a date in the form YYYY-MM-DD.", WRITE_DAY)
    year, month, day = int(match[1]), int(match[3]), int(match[4])
    if not 1 <= month <= 12:
        raise CellFault(f"There is no month {month}.", WRITE_DAY)
    if year < EARLIEST.year:
        raise CellFault(f"The year {year:04d} is before {EARLIEST.year}.", "Correct the year.")
    last = monthrange(year, month)[1]
    if not 1 <= day <= last:
        name = date(year, month, 1).strftime("%B")
        raise CellFault(f"There is no day {day} in {name} {year}; it has {last} days.", "Correct the date.")
    return date(year, month, day)


def read_month(text: str) -> int:
    """1 to 12; raises CellFault."""
    if not re.fullmatch(r"0?[1-9]|1[0-2]", text, re.ASCII):
        raise CellFault("This is not a month from 1 to 12.", "Write the month as a number, 1 for January.")
    return int(text)
