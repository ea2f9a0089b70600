"""Taking weather files into a site's record: all of a file in one transaction, or nothing."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from django.db import transaction

from plots.models import Site
from schedules.models import NormalMonth, WeatherDay
from schedules.weather_comparison import QUANTITIES, Comparison, Key, Reading, compare
from schedules.weather_csv import Fault, NormalsFile, WeatherFile, WeatherRow
from society.models import JournalEntry
from society.zones import zone


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


def weather_import(
    *, site: Site, file: WeatherFile, skip_bad: bool, now: datetime, dry_run: bool = False
) -> WeatherImport:
    """Add or correct observed days; with any fault nothing is saved unless `skip_bad`.

    An empty cell leaves what is stored as it is, so that a file without wind does not wipe the wind out.
    """
    today = now.astimezone(zone(site.zone)).date()
    early = [_not_yet(row) for row in file.rows if row.date > today]
    rows = {row.date: row for row in file.rows if row.date <= today}
    with transaction.atomic():
        _hold(site)
        found = compare(rows, _stored_days(site, rows))
        faults = _in_order(file.faults, early, found.faults)
        is_saved = found.has_good_rows and (skip_bad or not faults) and not dry_run
        outcome = _outcome("days", found, faults, file.ignored, is_saved=is_saved)
        if is_saved and found.to_write:
            _write_days(site, found.to_write)
            _note(site, outcome, now)
    return outcome


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
        },
    )
