"""The weather of a site as its members read it: the last fortnight, the record, the soil, who read what."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from plots.models import Site
from schedules.learning_selectors import SiteHistory
from schedules.models import Reading, SetAside, WeatherDay
from schedules.planner.sentences.readings import WHY as WHY_SET_ASIDE
from schedules.planner.sentences.wording import Units
from schedules.reading_selectors import Counted, day_counted, readings_standing
from schedules.reading_words import as_read, unit_of, value_words
from schedules.weather_basis import day_long, record_lines, soil_lines
from schedules.weather_comparison import QUANTITIES
from schedules.weather_outlook import FlightLine, flight_lines, frost_lines
from society.permissions import Asker, can_withdraw_reading

FORTNIGHT = 14
BY_HAND = "by hand"
LISTED = 10
NAMES = {
    "tmin_c": "lowest", "tmax_c": "highest", "rain_mm": "rain", "wind_ms": "wind", "soil_c": "soil",
}  # fmt: skip
WHY_IDLE = {
    "file": "does not count, because the weather file has that day",
    "later": "does not count, because a later reading stands",
    "crossed": "does not count, because it does not fit the day’s other temperature",
}


@dataclass(frozen=True, slots=True)
class Cell:
    """One figure of a day, in the unit of its column; no text is a gap. ``note`` stands below it in small."""

    text: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class DayLine:
    day: date
    is_today: bool
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """A reading with what became of it."""

    reading: Reading
    text: str
    who: str
    idle: str
    can_withdraw: bool


@dataclass(frozen=True, slots=True)
class WeatherPage:
    site: Site
    head: str
    heads: tuple[str, ...]
    days: tuple[DayLine, ...]
    readings: tuple[ReadingLine, ...]
    set_aside: tuple[str, ...]
    record: tuple[str, ...]
    soil: tuple[str, ...]
    frost: tuple[str, ...]
    flights: tuple[FlightLine, ...]

    @property
    def has_by_hand(self) -> bool:
        return any(cell.note == BY_HAND for line in self.days for cell in line.cells)


def weather_page(site: Site, *, today: date, asker: Asker, units: Units) -> WeatherPage:
    """Everything on the page. A fixed number of queries."""
    history = SiteHistory(site, today)
    first = today - timedelta(days=FORTNIGHT - 1)
    fortnight = _Fortnight(site, first, today)
    return WeatherPage(
        site=site,
        head=_head(site, history, units),
        heads=tuple(f"{name.capitalize()}, {unit_of(key, units)}" for key, name in NAMES.items()),
        days=tuple(fortnight.lines(units)),
        readings=tuple(_reading_lines(site, fortnight, asker, units)),
        set_aside=tuple(_set_aside_lines(site, units)),
        record=tuple(record_lines(history, units)),
        soil=tuple(soil_lines(history, units)),
        frost=tuple(frost_lines(history)),
        flights=tuple(flight_lines(history)),
    )


class _Fortnight:
    """The days shown, and what each counts."""

    def __init__(self, site: Site, first: date, today: date) -> None:
        self.first, self.today = first, today
        stored = WeatherDay.objects.filter(
            site=site, kind=WeatherDay.Kind.OBSERVED, day__range=(first, today)
        )
        self.stored = {row["day"]: row for row in stored.values("day", *QUANTITIES)}
        self.readings: dict[date, list[Reading]] = defaultdict(list)
        for reading in readings_standing(site).filter(day__range=(first, today)):
            self.readings[reading.day].append(reading)

    def counted(self, day: date) -> Counted:
        return day_counted(self.stored.get(day, {}), self.readings.get(day, []))

    def lines(self, units: Units) -> Iterable[DayLine]:
        for back in range(FORTNIGHT):
            day = self.today - timedelta(days=back)
            yield DayLine(day, back == 0, tuple(self._cells(day, units)))

    def _cells(self, day: date, units: Units) -> Iterable[Cell]:
        counted = self.counted(day)
        values = {**counted.values, "wind_ms": self.stored.get(day, {}).get("wind_ms")}
        for name, value in values.items():
            text = "" if value is None else as_read(name, value, units)
            yield Cell(text, BY_HAND if name in counted.read_by else "")
        soil = [each for each in self.readings.get(day, []) if each.quantity == "soil_c"]
        depths = dict.fromkeys(value_words("depth_mm", each.depth_mm or 0, units) for each in soil)
        yield Cell("; ".join(as_read("soil_c", each.value, units) for each in soil), ", ".join(depths))


def soil_words(reading: Reading, units: Units) -> str:
    """'8.4 °C at 10 cm'."""
    depth = value_words("depth_mm", reading.depth_mm or 0, units)
    return f"{value_words('soil_c', reading.value, units)} at {depth}"


def _head(site: Site, history: SiteHistory, units: Units) -> str:
    estimate_c = history.soil_estimate_c()
    if estimate_c is None:
        return f"Nothing is known of the weather at {site.name} yet"
    said = value_words("soil_c", estimate_c + history.soil.correction_c, units)
    return f"The soil at {site.name} is at about {said} today"


def _set_aside_lines(site: Site, units: Units) -> Iterable[str]:
    """The latest figures of files that were not believed, and why."""
    for row in SetAside.objects.filter(site=site).order_by("-day", "quantity")[:LISTED]:
        value = value_words(row.quantity, row.value, units)
        why = WHY_SET_ASIDE.get(row.rule, "not believed")
        yield f"{day_long(row.day)}, {NAMES[row.quantity]} {value}: {why}."


def _reading_lines(site: Site, fortnight: _Fortnight, asker: Asker, units: Units) -> Iterable[ReadingLine]:
    """The latest readings: one's own, and for the committee everybody's."""
    rows = Reading.objects.filter(site=site, withdrawn_at__isnull=True).select_related("member")
    if not asker.on_committee:
        rows = rows.filter(member__in=asker.member_ids)
    latest = list(rows.order_by("-made_at", "-pk")[:LISTED])
    idle = _idle_of(site, latest)
    for reading in latest:
        said = (
            soil_words(reading, units)
            if reading.quantity == "soil_c"
            else value_words(reading.quantity, reading.value, units)
        )
        yield ReadingLine(
            reading=reading,
            text=f"{NAMES[reading.quantity]} {said}",
            who=reading.member.name if reading.member else "someone erased",
            idle=WHY_IDLE.get(idle.get(reading.pk, ""), ""),
            can_withdraw=can_withdraw_reading(asker, member_id=reading.member_id),
        )


def _idle_of(site: Site, readings: Sequence[Reading]) -> dict[int, str]:
    """Why some of these do not count. Two queries."""
    days = {reading.day for reading in readings}
    if not days:
        return {}
    stored = WeatherDay.objects.filter(site=site, kind=WeatherDay.Kind.OBSERVED, day__in=days)
    by_day = {row["day"]: row for row in stored.values("day", *QUANTITIES)}
    beside: dict[date, list[Reading]] = defaultdict(list)
    for reading in readings_standing(site).filter(day__in=days):
        beside[reading.day].append(reading)
    idle: dict[int, str] = {}
    for day, read in beside.items():
        idle |= day_counted(by_day.get(day, {}), read).idle
    return idle
