"""In which seasons a row of an old record stood, and on which of its days. Nothing here writes."""

from dataclasses import dataclass, replace
from datetime import date

from plots.models import Site
from plots.record_csv import Moment, RecordRow
from plots.selectors import season_begins, season_name, season_of
from plots.tables import CellFault

# Asparagus stands for twenty years; what stood for longer is a slip. Common practice, no published source.
MOST_SEASONS = 40
MID_MONTH = 15
WHEN_OUT = "Write into “to” when it came out, or now with the day it was sown into “from”."


class TimeFault(CellFault):
    """Why the times of a row cannot be, and at which of its columns."""

    def __init__(self, column: str, reason: str, remedy: str) -> None:
        super().__init__(reason, remedy)
        self.column = column


@dataclass(frozen=True, slots=True)
class Times:
    """First and last season, the days where they are known, and whether it is in the ground still."""

    first: int
    last: int
    begun_on: date | None
    ended_on: date | None
    stands: bool
    # Wanted of a row that is to be added; what is on record already may do without.
    lacks: TimeFault | None = None

    def days(self, site: Site) -> tuple[date, date]:
        """The span in which it may have stood, both days included."""
        return (
            self.begun_on or season_begins(site, self.first),
            self.ended_on or season_begins(site, self.last + 1),
        )


def times_of(row: RecordRow, site: Site, *, today: date) -> Times:
    """Put year, from and to together; raises TimeFault."""
    current = season_of(site, today)
    begun, ended = row.begun or Moment(), row.ended or Moment()
    for column, moment in (("from", begun), ("to", ended)):
        if moment.day is not None and moment.day > today:
            raise TimeFault(column, f"{moment.day} is still to come.", "Only what has been is taken.")
    year = _season_said(row.year, begun, ended)
    begun = _in_season(begun, site, row.year)
    ended = _in_season(ended, site, row.year, after=begun)
    first = _first(year, site, begun, ended)
    last = _last(year, site, first, ended, current)
    has_end = ended.stands or ended.day or ended.year
    if row.spans and not has_end and first == last == row.year and _are_calendar_years(site):
        last = min(first + 1, current)
    stands = row.what is not None and (
        ended.stands or (last == current and begun.day is not None and ended.day is None)
    )
    if stands and row.failed:
        raise TimeFault("failed", "It cannot have failed and stand there still.", "Write when it came out.")
    is_open = last == current and ended.day is None
    lacks = None
    if row.what is not None and row.what.crop_key and is_open and begun.day is None:
        said = f"The season {season_name(site, current)} is not over yet, and no day of sowing is given."
        lacks = TimeFault("to", said, WHEN_OUT)
    return Times(first, last, begun.day, ended.day, stands, lacks)


def _season_said(year: int | None, begun: Moment, ended: Moment) -> int | None:
    """The season of the year column; nothing where it only repeats the calendar year of a day beside it."""
    days = [moment.day.year for moment in (begun, ended) if moment.day]
    months = [moment.year for moment in (begun, ended) if moment.month]
    return None if year in {*days, *months} - {None} else year


def _in_season(moment: Moment, site: Site, year: int | None, *, after: Moment | None = None) -> Moment:
    """A month as the season it lies in; one without a year is the row's own season's.

    An end without a year is the first such month from ``after`` on: October to July is one winter.
    """
    if moment.month is None:
        is_two = moment.spans and after is not None and _are_calendar_years(site)
        return replace(moment, year=(moment.year or 0) + 1) if is_two else moment
    begin = after.day if after and after.day else None
    if after and not begin and after.month:
        begin = _day_in(site, after)
    if moment.year is not None:
        season = season_of(site, date(moment.year, moment.month, MID_MONTH))
    elif begin is not None:
        later = begin.year + (moment.month < begin.month)
        season = season_of(site, date(later, moment.month, MID_MONTH))
    else:
        season = year or 0
    return replace(moment, year=season)


def _are_calendar_years(site: Site) -> bool:
    """Where they are, 2019/20 is no season's name: it says two of them."""
    return (site.season_month, site.season_day) == (1, 1)


def _day_in(site: Site, moment: Moment) -> date:
    """The middle of a month within the season that it was found to lie in."""
    begins = season_begins(site, moment.year or 1)
    month = moment.month or begins.month
    day = date(begins.year, month, MID_MONTH)
    return day if day >= begins else date(begins.year + 1, month, MID_MONTH)


def _first(year: int | None, site: Site, begun: Moment, ended: Moment) -> int:
    found = season_of(site, begun.day) if begun.day else begun.year
    last = found if found is None or ended.day or ended.stands else found + 1
    if found is not None and year is not None and (year < found or (last == found + 1 and year > last)):
        begins = season_name(site, found)
        raise TimeFault(
            "year", f"It was begun in the season {begins}.", "Correct the year, or the day in “from”."
        )
    if found is None:
        found = year
    if found is None:
        found = season_of(site, ended.day) if ended.day else ended.year
    if found is None:
        raise TimeFault("year", "Neither a year nor a day stands in this row.", "Write the year.")
    return found


def _last(year: int | None, site: Site, first: int, ended: Moment, current: int) -> int:
    if ended.stands:
        last = current
    elif ended.day:
        last = season_of(site, ended.day)
    else:
        last = max(first, year or first) if ended.year is None else ended.year
    if last < first or (year is not None and year > last):
        column = "to" if last < first else "year"
        raise TimeFault(column, "It ends before it begins.", "Check the year and both days.")
    if max(first, last) > current:
        remedy = "Only past seasons and this one are taken; plan what is to come on the plot’s page."
        raise TimeFault("year", f"The season {season_name(site, max(first, last))} has not begun.", remedy)
    if last - first > MOST_SEASONS:
        raise TimeFault("to", f"It would have stood for {last - first} seasons.", "Check the years.")
    return last
