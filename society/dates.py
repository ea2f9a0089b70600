"""Dates as sentences say them."""

from datetime import date


def date_words(day: date) -> str:
    """'7 July 2027': a date that stands far from the day it is read on carries its year."""
    return f"{day.day} {day:%B} {day.year}"
