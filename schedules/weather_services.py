"""Taking weather files into a site's record: all of a file in one transaction, or nothing.

What cannot be true is set aside: the rest of its row is taken, the value stays a gap, and a row says why.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Literal

from django.db import transaction

from plots.models import Site
from schedules.agronomy.climate import Gap, Suspect, WrongUnit, gaps_of
from schedules.models import NormalMonth, SetAside, WeatherDay
from schedules.weather_comparison import QUANTITIES, Comparison, Key, Reading, compare
from schedules.weather_csv import Fault, NormalsFile, WeatherFile, WeatherRow, daily, judge
from schedules.weather_selectors import NO_LINE, monthly_normals, observed_weather
from society.models import JournalEntry
from society.zones import zone

# SQLite bounds the number of values in one query.
IN_ONE_QUERY = 500


@dataclass(frozen=True, slots=True)
class WeatherImport:
    """What an import did or, when `is_saved` is false, would do with the good rows."""

    kind: Literal["days", "normals"]
    added: int
    changed: int
    unchanged: int
    faults: tuple[Fault, ...]
    ignored: tuple[str, ...]
    is_saved: bool
    set_aside: tuple[Suspect, ...] = ()
    wrong_unit: WrongUnit | None = None
    gaps: tuple[Gap, ...] = ()


def weather_import(
    *,
    site: Site,
    file: WeatherFile,
    skip_bad: bool,
    now: datetime,
    dry_run: bool = False,
    unit_is_right: bool = False,
) -> WeatherImport:
    """Add or correct observed days; with any fault nothing is saved unless `skip_bad`.

    An empty cell leaves what is stored as it is, so that a file without wind does not wipe the wind out. With
    temperatures in another unit than the headings say nothing is saved, unless `unit_is_right`.
    """
    today = now.astimezone(zone(site.zone)).date()
    early = [_not_yet(row) for row in file.rows if row.date > today]
    past = replace(file, rows=tuple(row for row in file.rows if row.date <= today))
    with transaction.atomic():
        _hold(site)
        judged = judge(
            past,
            history=observed_weather(site),
            normals=monthly_normals(site),
            latitude=site.latitude,
            unit_is_right=unit_is_right,
        )
        rows = {row.date: row for row in judged.file.rows}
        # In the wrong unit hardly a reading is believed, for one reason: it is told once.
        is_readable = judged.wrong_unit is None
        aside = tuple(each for each in judged.file.set_aside if each.day <= today and is_readable)
        stored = _stored_days(site, rows)
        found = compare(rows, stored, _by_day(aside))
        faults = _in_order(judged.file.faults, early, found.faults)
        is_good = (skip_bad or not faults) and is_readable
        is_saved = (found.has_good_rows or bool(aside)) and is_good and not dry_run
        outcome = replace(
            _outcome("days", found, faults, file.ignored, is_saved=is_saved),
            set_aside=aside,
            wrong_unit=judged.wrong_unit,
            gaps=_gaps(stored | found.to_write) if is_readable else (),
        )
        if is_saved:
            _save_days(site, found, outcome, now)
    return outcome


def _gaps(readings: Mapping[date, Reading]) -> tuple[Gap, ...]:
    """The days without both temperatures that the file leaves between its first day and its last."""
    rows = [WeatherRow(NO_LINE, day, *reading) for day, reading in readings.items()]
    return gaps_of(daily(rows)) if rows else ()


def _save_days(site: Site, found: Comparison[date], outcome: WeatherImport, now: datetime) -> None:
    _write_days(site, found.to_write)
    is_news = _write_set_aside(site, outcome.set_aside, now)
    _forget_set_aside(site, found.to_write)
    if found.to_write or is_news:
        _note(site, outcome, now)


def _by_day(aside: Iterable[Suspect]) -> dict[date, dict[str, float]]:
    days: dict[date, dict[str, float]] = {}
    for each in aside:
        days.setdefault(each.day, {})[each.quantity] = each.value
    return days


def normals_import(*, site: Site, file: NormalsFile, now: datetime, dry_run: bool = False) -> WeatherImport:
    """Add or correct the twelve monthly means; with any fault nothing is saved."""
    rows = {row.month: row for row in file.rows}
    with transaction.atomic():
        _hold(site)
        stored = NormalMonth.objects.filter(site=site).values_list("month", *QUANTITIES)
        found = compare(rows, {month: tuple(reading) for month, *reading in stored})
        faults = _in_order(file.faults, found.faults)
        is_saved = found.has_good_rows and not faults and not dry_run
        outcome = _outcome("normals", found, faults, file.ignored, is_saved=is_saved)
        if is_saved and found.to_write:
            _write_months(site, found.to_write)
            _note(site, outcome, now)
    return outcome


def _hold(site: Site) -> None:
    """Let one import a site at a time compare and write; SQLite has no row locks but one writer anyway."""
    Site.objects.select_for_update().get(pk=site.pk)


def _stored_days(site: Site, rows: Mapping[date, WeatherRow]) -> dict[date, Reading]:
    if not rows:
        return {}
    days = WeatherDay.objects.filter(
        site=site, kind=WeatherDay.Kind.OBSERVED, day__range=(min(rows), max(rows))
    )
    return {day: tuple(reading) for day, *reading in days.values_list("day", *QUANTITIES)}


def _not_yet(row: WeatherRow) -> Fault:
    reason = "This day has not come yet at the site; only observed days are taken."
    return Fault(row.line, "date", row.date.isoformat(), reason, "Correct the date, or take the row out.")


def _in_order(*groups: Iterable[Fault]) -> tuple[Fault, ...]:
    return tuple(sorted((fault for group in groups for fault in group), key=lambda fault: fault.line))


def _outcome(
    kind: Literal["days", "normals"],
    found: Comparison[Key],
    faults: tuple[Fault, ...],
    ignored: tuple[str, ...],
    *,
    is_saved: bool,
) -> WeatherImport:
    return WeatherImport(
        kind, len(found.added), len(found.changed), found.unchanged, faults, ignored, is_saved
    )


def _write_days(site: Site, readings: Mapping[date, Reading]) -> None:
    # soil_c is not among the updated fields: a thermometer reading hangs on the day and stays.
    WeatherDay.objects.bulk_create(
        [
            WeatherDay(site=site, day=day, **dict(zip(QUANTITIES, reading, strict=True)))
            for day, reading in readings.items()
        ],
        update_conflicts=True,
        unique_fields=["site", "day", "kind"],
        update_fields=QUANTITIES,
    )


def _write_set_aside(site: Site, aside: tuple[Suspect, ...], now: datetime) -> bool:
    """Keep what was set aside, once for a day and quantity; return whether any of it is new."""
    if not aside:
        return False
    known = set(
        SetAside.objects.filter(site=site, day__range=(aside[0].day, aside[-1].day)).values_list(
            "day", "quantity", "value", "rule"
        )
    )
    new = {
        (each.day, each.quantity): SetAside(
            site=site,
            day=each.day,
            quantity=each.quantity,
            value=each.value,
            rule=each.rule,
            values=dict(each.values),
            made_at=now,
        )
        for each in aside
        if (each.day, each.quantity, each.value, each.rule) not in known
    }
    SetAside.objects.bulk_create(
        new.values(),
        update_conflicts=True,
        unique_fields=["site", "day", "quantity"],
        update_fields=["value", "rule", "values", "made_at"],
    )
    return bool(new)


def _forget_set_aside(site: Site, readings: Mapping[date, Reading]) -> None:
    """A day that has a reading now was corrected: what was set aside there is past."""
    if not readings:
        return
    found = SetAside.objects.filter(site=site, day__range=(min(readings), max(readings)))
    corrected = [
        pk
        for pk, day, quantity in found.values_list("pk", "day", "quantity")
        if day in readings and readings[day][QUANTITIES.index(quantity)] is not None
    ]
    for begin in range(0, len(corrected), IN_ONE_QUERY):
        SetAside.objects.filter(pk__in=corrected[begin : begin + IN_ONE_QUERY]).delete()


def _write_months(site: Site, readings: Mapping[int, Reading]) -> None:
    NormalMonth.objects.bulk_create(
        [
            NormalMonth(site=site, month=month, **dict(zip(QUANTITIES, reading, strict=True)))
            for month, reading in readings.items()
        ],
        update_conflicts=True,
        unique_fields=["site", "month"],
        update_fields=QUANTITIES,
    )


def _note(site: Site, outcome: WeatherImport, now: datetime) -> None:
    JournalEntry.objects.create(
        at=now,
        action="weather.imported",
        subject="plots.site",
        subject_id=str(site.pk),
        values={
            "kind": outcome.kind,
            "added": outcome.added,
            "changed": outcome.changed,
            "refused": len(outcome.faults),
            "set_aside": len(outcome.set_aside),
        },
    )
