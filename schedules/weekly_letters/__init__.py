"""The weekly letter: what a member's ground needs, what moved, and how the sites stand."""

from schedules.weekly_letters.gathering import Matter, To, gather
from schedules.weekly_letters.writing import Sheet, sheet_of, weekly_letter, written

__all__ = ["Matter", "Sheet", "To", "gather", "sheet_of", "weekly_letter", "written"]
