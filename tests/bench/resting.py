"""A whole site at rest: how long its page takes, in SQLite, with ten seasons of twelve patches a plot.

``python -m tests.bench resting`` with numbers of plots or without.
"""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

SITE_PLOTS = 300
ONCE = """
import json, sys, time
import django
django.setup()
from datetime import date
from django.core.management import call_command
from django.db import connection
from django.test.utils import CaptureQueriesContext
from plots.models import Bed, Plot
from plots.rest_selectors import pieces_there, rests_from
from schedules.rest_page import rest_page, seasons_shown
from tests.bench import ground_society
call_command("migrate", verbosity=0)
plots = int(sys.argv[1])
site = ground_society.lay_out(plots)
Bed.objects.bulk_create(
    Bed(plot=plot, name=str(place), since=date(2018, 1, 1), outline=ground_society.bed(at, plots, place))
    for at, plot in enumerate(Plot.objects.order_by("pk"))
    for place in range(ground_society.A_PLOT)
)
today, found = date(2027, 4, 12), []
for family in ("Apiaceae", "Brassicaceae"):
    for season in (2027, 2030):
        began = time.process_time()
        with CaptureQueriesContext(connection) as queries:
            pieces = pieces_there(site, season=season, today=today)
            rests_from(site, pieces, family=family, season=season, present=2027)
        judged = time.process_time()
        seasons = seasons_shown(site, today=today)
        rest_page(site, family=family, season=season, seasons=seasons, sheet=1, today=today)
        page = time.process_time()
        found.append([family, season, len(pieces), len(queries), judged - began, page - judged])
print(json.dumps(found))
"""


def resting(sizes: Sequence[int]) -> None:
    """Time judging every bed of a site for a family in a season, and a sheet of its page."""
    for plots in sizes:
        with tempfile.TemporaryDirectory() as folder:
            for family, season, beds, queries, judged_s, page_s in _timed(plots, Path(folder)):
                print(
                    f"{plots:,} plots, {beds:,} beds, {family} in {season}: all judged in {judged_s:.2f} s "
                    f"CPU with {queries} queries; the page of one sheet {page_s:.2f} s CPU; "
                    f"load {os.getloadavg()[0]:.1f}"
                )


def _timed(plots: int, folder: Path) -> list[tuple[str, int, int, int, float, float]]:
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith("COMMONROW_")},
        "DJANGO_SETTINGS_MODULE": "society.config.settings",
        "COMMONROW_DATA": str(folder),
    }
    done = subprocess.run(
        [sys.executable, "-c", ONCE, str(plots)],
        env=environment,
        check=True,
        stdout=subprocess.PIPE,
        text=True,
    )
    return [tuple(row) for row in json.loads(done.stdout)]
