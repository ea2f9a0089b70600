"""Take one file of old records in, in this process: ``python -m tests.bench.records_once 20000``.

Prints JSON: seconds of each step, the counts, the digest of the export, and the memory at its highest. The
database is the one that the settings name; it must be empty, and is migrated here.
"""

import csv
import hashlib
import io
import json
import os
import random
import resource
import sys
import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "society.config.settings")
django.setup()

from django.core.management import call_command  # noqa: E402
from openpyxl import Workbook  # noqa: E402

from plots.crops import crops  # noqa: E402
from plots.models import Site  # noqa: E402
from plots.record_csv import read_record, write_record  # noqa: E402
from plots.record_selectors import record_rows  # noqa: E402
from plots.record_services import RecordImport, record_import  # noqa: E402
from tests import factories  # noqa: E402

NOW, TODAY, SINCE = datetime(2027, 4, 12, 8, tzinfo=UTC), date(2027, 4, 12), date(2005, 1, 1)
PLOTS, BEDS, FIRST_YEAR, YEARS = 200, 5, 2006, 20
HEAD = ("year", "plot", "bed", "from", "to", "crop", "problem")


def lay_out() -> Site:
    """A society of 200 plots with five beds each."""
    site = factories.make_cast(since=SINCE).site
    for number in range(100, 100 + PLOTS):
        x, y = 30.0 * (number % 20), 20.0 * (number // 20)
        plot = factories.make_plot(site, str(number), laid_out_on=SINCE, corner=(x, y))
        for bed in range(BEDS):
            corner = (x + 1, y + 1 + 1.4 * bed)
            factories.make_bed(plot, f"bed {bed + 1}", since=SINCE, corner=corner)
    return site


def rows(count: int) -> list[tuple[str, ...]]:
    """Every bed of every plot for twenty years; a third of the places known only roughly."""
    chance = random.Random(1)
    names = [crop.name for crop in crops()]
    return [_row(number, chance, names) for number in range(count)]


def _row(number: int, chance: random.Random, names: list[str]) -> tuple[str, ...]:
    year, bed = FIRST_YEAR + number % YEARS, f"bed {1 + number // YEARS % BEDS}"
    plot = 100 + number // (YEARS * BEDS) % PLOTS
    begun = f"{year}-04-{1 + number % 28:02d}" if number % 2 else ""
    ended = f"{year}-0{7 + number % 3}-11" if number % 3 else ""
    place = chance.choice([bed, bed, bed, f"half of {bed}", ""])
    problem = "clubroot" if number % 50 == 0 else ""
    return str(year), str(plot), place, begun, ended, chance.choice(names), problem


def main(count: int) -> None:
    call_command("migrate", verbosity=0)
    site = lay_out()
    said: dict[str, Any] = {"rows": count}
    table = [HEAD, *rows(count)]
    data = _csv(table)
    file = _timed(said, "read CSV", lambda: read_record(data))
    _timed(said, "read XLSX", lambda: read_record(_xlsx(table)))

    def take(**how: Any) -> RecordImport:
        return record_import(site=site, file=file, member=None, account=None, now=NOW, **how)

    looked = _timed(said, "preview", lambda: take(dry_run=True))
    kept = _timed(said, "keep", take)
    again = _timed(said, "the same again", take)
    text = _timed(said, "export", lambda: write_record(record_rows(site, today=TODAY)))
    back = _timed(said, "export read back", lambda: _back(site, text))
    said |= {
        "looked": len(looked.added),
        "added": len(kept.added),
        "known again": again.known,
        "added again": len(again.added),
        "added from export": len(back.added) + len(back.otherwise) + len(back.faults),
        "digest": hashlib.sha256(text.encode()).hexdigest(),
        "memory MB": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    }
    print(json.dumps(said))


def _timed(said: dict[str, Any], name: str, work: Callable[[], Any]) -> Any:
    began = time.perf_counter()
    found = work()
    said[f"{name} s"] = round(time.perf_counter() - began, 1)
    return found


def _csv(table: list[tuple[str, ...]]) -> bytes:
    out = io.StringIO()
    csv.writer(out).writerows(table)
    return out.getvalue().encode()


def _xlsx(table: list[tuple[str, ...]]) -> bytes:
    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    for row in table:
        sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _back(site: Site, text: str) -> RecordImport:
    """The export in parts that a file may have, as somebody would send it back."""
    lines = text.splitlines(keepends=True)
    head, body = lines[0], lines[1:]
    parts = [body[at : at + 20_000] for at in range(0, len(body), 20_000)]
    found = [
        record_import(
            site=site, file=read_record((head + "".join(part)).encode()), member=None, account=None, now=NOW
        )
        for part in parts
    ]
    return next((each for each in found if each.added or each.otherwise or each.faults), found[0])


if __name__ == "__main__":
    main(int(sys.argv[1]))
