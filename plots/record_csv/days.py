"""Days as people write them: ISO, by name of the month, or in figures, whose order the whole file decides."""

import re
from calendar import monthrange
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from plots.record_csv.rows import Moment
from plots.tables import CellFault

# Older records are rare enough to be slips of the keyboard. Common practice, no published source.
EARLIEST_YEAR = 1900
MONTHS = (
    "january", "february", "march", "april", "may", "june", "july", "august", "september", "october",
    "november", "december",
)  # fmt: skip
STILL = {"now", "still", "still there", "stands", "still standing", "present", "today", "in the ground"}
WRITE_DAY = "Write the day as YYYY-MM-DD, for example 2019-04-09."

ISO = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})(?:[T ][\d:.]+)?", re.ASCII)
FIGURES = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})", re.ASCII)
NAMED = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?\.? ?(?:of )?([a-z]+)\.?,? (\d{4}|\d{2})", re.ASCII)
NAMED_FIRST = re.compile(r"([a-z]+)\.? (\d{1,2})(?:st|nd|rd|th)?,? (\d{4})", re.ASCII)
MONTH_ALONE = re.compile(r"([a-z]+)\.?(?:,? (\d{4}))?", re.ASCII)
YEAR_MONTH = re.compile(r"(\d{4})[-/](\d{1,2})|(\d{1,2})/(\d{4})", re.ASCII)
YEAR = re.compile(r"(\d{4})(?:[-/](\d{4}|\d{2}))?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Order:
    """Whether figures are day first, as one line of the file shows; None where nothing shows it."""

    day_first: bool | None
    line: int = 0
    shown_by: str = ""
    is_mixed: bool = False

    @property
    def words(self) -> str:
        """How ambiguous days were read, as a sentence; empty where none had to be decided."""
        if self.day_first is None:
            return ""
        which = "the day first" if self.day_first else "the month first"
        return f"Days in figures are read with {which}, as {self.shown_by} on line {self.line} shows."


def order_of(cells: Iterable[tuple[int, str]]) -> Order:
    """Decide the order for a whole file from the days that can be read in one way only.

    With a point between (9.4.2019) the day always stands first, and nothing has to be decided.
    """
    shows: dict[bool, tuple[int, str]] = {}
    for line, text in cells:
        match = FIGURES.fullmatch(text)
        if match is None or match[2] == ".":
            continue
        first, second = int(match[1]), int(match[3])
        if first > 12 >= second:
            shows.setdefault(True, (line, text))
        elif second > 12 >= first:
            shows.setdefault(False, (line, text))
    if len(shows) == 1:
        day_first, (line, text) = next(iter(shows.items()))
        return Order(day_first, line, text)
    return Order(None, is_mixed=bool(shows))


def read_year(text: str) -> tuple[int, bool]:
    """The year, and whether it was written as two: 2019, or 2019/20; raises CellFault."""
    match = YEAR.fullmatch(text)
    if match is None:
        raise CellFault("This is not a year.", "Write the year in four figures, like 2019.")
    year = int(match[1])
    if match[2] is not None and int(match[2]) not in {year + 1, (year + 1) % 100}:
        raise CellFault(
            "These are not two years that follow each other.",
            "Use one row for each season, or the columns from and to for what stood through.",
        )
    return _year(year), match[2] is not None


def read_moment(text: str, order: Order, *, year: int | None) -> tuple[Moment, bool]:
    """A day, a year or 'now', and whether only a month was said; raises CellFault.

    ``year`` is what the row's own year column says: it tells which century 19 is in.
    """
    folded = " ".join(text.casefold().split())
    if folded in STILL:
        return Moment(stands=True), False
    day = _day(folded, order, year)
    if day is not None:
        return Moment(day=day), False
    found = _month_alone(folded, year)
    if found is not None:
        return found, True
    if YEAR.fullmatch(folded):
        begins, spans = read_year(folded)
        return Moment(year=begins, spans=spans), False
    raise CellFault("This is not a day.", f"{WRITE_DAY} Where no day is known, leave the cell empty.")


def _day(text: str, order: Order, year: int | None) -> date | None:
    if match := ISO.fullmatch(text):
        return _date(int(match[1]), int(match[3]), int(match[4]))
    if match := FIGURES.fullmatch(text):
        return _in_figures(match, order, year)
    if (match := NAMED.fullmatch(text)) and (month := _month(match[2])):
        return _date(_century(match[3], year), month, int(match[1]))
    if (match := NAMED_FIRST.fullmatch(text)) and (month := _month(match[1])):
        return _date(_year(int(match[3])), month, int(match[2]))
    return None


def _in_figures(match: re.Match[str], order: Order, year: int | None) -> date:
    first, second, full = int(match[1]), int(match[3]), _century(match[4], year)
    if match[2] == "." or first == second or first > 12 or (order.day_first and second <= 12):
        return _date(full, second, first)
    if second > 12 or order.day_first is False:
        return _date(full, first, second)
    why = (
        "other lines show both orders"
        if order.is_mixed
        else "no line of the file shows whether the day or the month stands first"
    )
    either = f"{full:04d}-{second:02d}-{first:02d} or {full:04d}-{first:02d}-{second:02d}"
    raise CellFault(f"This may be {either}: {why}.", "Write the days as YYYY-MM-DD.")


def _century(text: str, year: int | None) -> int:
    if len(text) == 4:
        return _year(int(text))
    near = [] if year is None else [each for each in (year, year + 1, year - 1) if each % 100 == int(text)]
    if not near:
        raise CellFault(f"Which century the year {text} is in is not said.", WRITE_DAY)
    return near[0]


def _date(year: int, month: int, day: int) -> date:
    if not 1 <= month <= 12:
        raise CellFault(f"There is no month {month}.", WRITE_DAY)
    last = monthrange(_year(year), month)[1]
    if not 1 <= day <= last:
        name = MONTHS[month - 1].capitalize()
        raise CellFault(f"There is no day {day} in {name} {year}; it has {last} days.", "Correct the day.")
    return date(year, month, day)


def _year(year: int) -> int:
    if year < EARLIEST_YEAR:
        raise CellFault(f"The year {year:04d} is before {EARLIEST_YEAR}.", "Correct the year.")
    return year


def _month(word: str) -> int:
    """1 to 12, by the whole name or by its first three letters or more; 0 where it is no month."""
    if len(word) < 3:
        return 0
    return next(
        (at for at, name in enumerate(MONTHS, start=1) if name.startswith(word)), 9 * (word == "sept")
    )


def _are_two_years(text: str) -> bool:
    """2003/04 is a winter; 2003-04 is April, as ISO 8601 has it."""
    match = YEAR.fullmatch(text) if "/" in text else None
    return match is not None and int(match[2] or 0) == (int(match[1]) + 1) % 100


def _month_alone(text: str, year: int | None) -> Moment | None:
    """A month with its year, or alone where the row has a year of its own."""
    if (match := YEAR_MONTH.fullmatch(text)) and not _are_two_years(text):
        month = int(match[2] or match[3])
        return Moment(year=_year(int(match[1] or match[4])), month=month) if 1 <= month <= 12 else None
    match = MONTH_ALONE.fullmatch(text)
    month = _month(match[1]) if match else 0
    if match is None or not month:
        return None
    if match[2]:
        return Moment(year=_year(int(match[2])), month=month)
    if year is None:
        raise CellFault("The month stands without its year.", WRITE_DAY)
    return Moment(month=month)
