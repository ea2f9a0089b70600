"""`manage.py record_export --site S`: the record of the ground as CSV, in the form that is read back."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from plots.changes import local_day
from plots.record_csv import write_record
from plots.record_selectors import record_rows
from schedules.management.sending import site_named
from society import clock


class Command(BaseCommand):
    help = "Write what grew and what was seen on a site's ground as CSV on standard output."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--site", required=True, help="the site's slug or name")
        parser.add_argument("--since", type=int, metavar="YEAR", help="only from this season on")
        parser.add_argument("--until", type=int, metavar="YEAR", help="only up to this season")

    def handle(self, *args: Any, **options: Any) -> None:
        site = site_named(options["site"])
        today = local_day(site, clock.now())
        rows = record_rows(site, today=today, since=options["since"], until=options["until"])
        self.stdout.write(write_record(rows), ending="")
