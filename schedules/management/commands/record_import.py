"""`manage.py record_import FILE --site S`: take old records of what grew where into the record."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from plots.models import Site
from plots.record_csv import MAX_BYTES, read_record
from plots.record_services import RecordImport, record_import
from plots.tables import fault_line
from schedules.management.sending import file_bytes, site_named
from schedules.plan_services import site_replan
from schedules.record_words import (
    account_lines,
    counted_words,
    counts_of,
    draft_name,
    otherwise_line,
    overlap_line,
    shortened,
)
from society import clock

LISTED = 40


class Command(BaseCommand):
    help = (
        "Take old records from a CSV file or an XLSX workbook into the record of a site's ground: all of it, "
        "or nothing while a row is at fault. What is on record already stays as it is."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", type=Path)
        parser.add_argument("--site", required=True, help="the site's slug or name")
        parser.add_argument("--dry-run", action="store_true", help="read, place and count; save nothing")
        parser.add_argument(
            "--complete",
            action="store_true",
            help="the file holds all that grew on its plots since its first season there",
        )
        parser.add_argument("--json", action="store_true", help="report as JSON on standard output")

    def handle(self, *args: Any, **options: Any) -> None:
        site = site_named(options["site"])
        data = file_bytes(options["file"], most=MAX_BYTES)
        now = clock.now()
        found = record_import(
            site=site, file=read_record(data), is_complete=options["complete"], member=None, account=None,
            now=now, dry_run=options["dry_run"],
        )  # fmt: skip
        if found.is_saved:
            site_replan(site=site, now=now)
        self.stdout.write(_as_json(site, found) if options["json"] else _as_text(site, found))
        if found.faults:
            count = len(found.faults)
            said = f"{count} fault{'' if count == 1 else 's'}"
            raise CommandError(f"{said}; nothing was saved. Correct the file.", returncode=1)


def _as_text(site: Site, found: RecordImport) -> str:
    lines = [fault_line(fault) for fault in found.faults]
    if found.faults:
        return "\n".join(lines)
    lines += shortened([otherwise_line(site, each) for each in found.otherwise], LISTED)
    lines += shortened([overlap_line(site, each) for each in found.overlaps], LISTED)
    lines += account_lines(found)
    counted = counted_words(counts_of(found))
    lines.append(f"{site.name}: {'added' if found.is_saved else 'not saved, would be added'}: {counted}.")
    return "\n".join(lines)


def _as_json(site: Site, found: RecordImport) -> str:
    report = {
        "site": site.slug,
        "is_saved": found.is_saved,
        **counts_of(found),
        "known": found.known,
        "twice": found.twice,
        "standing": found.standing,
        "placed_later": found.placed_later,
        "otherwise": [otherwise_line(site, each) for each in found.otherwise],
        "overlaps": [overlap_line(site, each) for each in found.overlaps],
        "record_since": {plot.number: season for plot, season in found.since.items()},
        "remarks": list(found.remarks),
        "ignored": list(found.ignored),
        "faults": [
            {
                "line": fault.line, "column": fault.column, "value": fault.value, "reason": fault.reason,
                "remedy": fault.remedy,
            }
            for fault in found.faults
        ],
        "added": [
            {
                "line": each.line, "kind": each.kind.value, "plot": each.ground.plot.number,
                "place": each.ground.place, "name": draft_name(each), "first_season": each.first,
                "last_season": each.last, "is_coarse": each.ground.is_coarse,
            }
            for each in found.added
        ],
    }  # fmt: skip
    return json.dumps(report, ensure_ascii=False, indent=2)
