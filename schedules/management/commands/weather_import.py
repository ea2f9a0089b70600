"""`manage.py weather_import FILE --site S`: take a weather CSV into a site's record."""

import json
from argparse import ArgumentParser
from dataclasses import asdict
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from plots.models import Site
from plots.tables import fault_line
from schedules.management.sending import file_bytes, site_named
from schedules.plan_services import site_replan
from schedules.weather_csv import (
    Undecodable,
    decode,
    is_normals,
    read_normals,
    read_weather,
    suspect_line,
    wrong_unit_line,
)
from schedules.weather_services import WeatherImport, normals_import, weather_import
from society import clock

# A long record of GHCN-Daily with many elements.
MAX_BYTES = 40_000_000
LISTED = 20


class Command(BaseCommand):
    help = (
        "Import observed days or monthly normals from a CSV file, or observed days from GHCN-Daily. Nothing "
        "is saved while a row is at fault; a reading that cannot be true is set aside and named."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path)
        parser.add_argument("--site", required=True, help="the site's slug or name")
        parser.add_argument("--skip-bad", action="store_true", help="save the good rows, list the bad ones")
        parser.add_argument(
            "--normals", action="store_true", help="twelve monthly means (month instead of date)"
        )
        parser.add_argument("--dry-run", action="store_true", help="check and count, save nothing")
        parser.add_argument(
            "--unit-is-right",
            action="store_true",
            help="take the temperatures as headed, even where they look to be in the other unit",
        )
        parser.add_argument("--json", action="store_true", help="report as JSON on standard output")

    def handle(self, *args: Any, **options: Any) -> None:
        site = site_named(options["site"])
        text = _text(options["file"])
        outcome = _take(site, text, options)
        moved = site_replan(site=site, now=clock.now()) if _is_news(outcome) else 0
        if options["json"]:
            report = _as_json(site, outcome, moved)
        else:
            report = _as_text(site, outcome, options["dry_run"], moved)
        self.stdout.write(report)
        if outcome.faults or outcome.wrong_unit:
            raise CommandError(_verdict(outcome, options), returncode=1)


def _is_news(outcome: WeatherImport) -> bool:
    """Whether the site's plans rest on something new now."""
    return outcome.is_saved and bool(outcome.added or outcome.changed)


def _take(site: Site, text: str, options: dict[str, Any]) -> WeatherImport:
    now, dry_run = clock.now(), options["dry_run"]
    if options["normals"] or is_normals(text):
        return normals_import(site=site, file=read_normals(text), now=now, dry_run=dry_run)
    file = read_weather(text)
    return weather_import(
        site=site,
        file=file,
        skip_bad=options["skip_bad"],
        now=now,
        dry_run=dry_run,
        unit_is_right=options["unit_is_right"],
    )


def _text(path: Path) -> str:
    try:
        return decode(file_bytes(path, most=MAX_BYTES))
    except Undecodable as error:
        raise CommandError(f"FILE: {path}, {error}") from error


def _as_json(site: Site, outcome: WeatherImport, moved: int) -> str:
    report = {"site": site.slug, **asdict(outcome), "jobs_moved": moved}
    return json.dumps(report, ensure_ascii=False, indent=2, default=str)


def _as_text(site: Site, outcome: WeatherImport, dry_run: bool, moved: int) -> str:
    lines = [fault_line(fault) for fault in outcome.faults]
    lines += [*_set_aside_lines(outcome), *_gap_lines(outcome)]
    if outcome.ignored:
        lines.append(f"Columns not used: {', '.join(outcome.ignored)}.")
    counts = f"{outcome.added} new, {outcome.changed} changed, {outcome.unchanged} unchanged"
    if outcome.is_saved:
        lines.append(f"{site.name}: {outcome.kind} saved: {counts}.")
        if moved:
            lines.append(f"Plans worked out again: {moved} job{'' if moved == 1 else 's'} new or moved.")
    elif outcome.wrong_unit is None and (outcome.added or outcome.changed or outcome.unchanged):
        lines.append(
            f"{site.name}: {outcome.kind} good, not saved: {counts}.{' (dry run)' if dry_run else ''}"
        )
    return "\n".join(lines)


def _set_aside_lines(outcome: WeatherImport) -> list[str]:
    count = len(outcome.set_aside)
    lines = [suspect_line(each) for each in outcome.set_aside[:LISTED]]
    if count > LISTED:
        kept = "; all are kept with the site" if outcome.is_saved else ""
        lines.append(f"And {count - LISTED} more{kept}.")
    if count:
        lines.append(f"{count} reading{'' if count == 1 else 's'} set aside; the rest of each day is good.")
    return lines


def _gap_lines(outcome: WeatherImport) -> list[str]:
    lines = []
    for gap in outcome.gaps[:LISTED]:
        span = f"{gap.first}: 1 day" if gap.days == 1 else f"{gap.first} to {gap.last}: {gap.days} days"
        then = "is bridged in plans" if gap.is_short else "stays a gap, and sums over it are incomplete"
        lines.append(f"{span} without both temperatures; this {then}.")
    if len(outcome.gaps) > LISTED:
        lines.append(f"And {len(outcome.gaps) - LISTED} more gaps.")
    return lines


def _verdict(outcome: WeatherImport, options: dict[str, Any]) -> str:
    if outcome.wrong_unit:
        line = wrong_unit_line(outcome.wrong_unit)
        return f"Nothing was saved. {line} If the headings are right, add --unit-is-right."
    count = len(outcome.faults)
    faults = f"{count} fault{'' if count == 1 else 's'}"
    if outcome.is_saved:
        return f"{faults}; the good rows were saved, the rows listed were not."
    if options["dry_run"]:
        return f"{faults}; a dry run saves nothing."
    if outcome.kind == "normals":
        return f"{faults}; nothing was saved. Normals are taken all twelve together."
    if outcome.added or outcome.changed or outcome.unchanged:
        return f"{faults}; nothing was saved. Correct the file, or take its good rows with --skip-bad."
    return f"{faults}; nothing was saved. Correct the file."
