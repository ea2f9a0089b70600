"""`manage.py serve`: the embedded server for a small society in earnest."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from schedules.serving import CannotServe, port_check, serve


class Command(BaseCommand):
    help = "Serve the embedded Commonrow: web pages and the periodic work in one process."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on (default 127.0.0.1)")
        parser.add_argument("--port", type=int, default=8000, help="port to listen on (default 8000)")

    def handle(self, *args: Any, **options: Any) -> None:
        host, port = options["host"], options["port"]
        if not settings.EMBEDDED:
            raise CommandError(
                "serve is for the embedded mode, and DATABASE_URL or REDIS_URL is set. Unset both, or run "
                "the full deployment: gunicorn society.config.wsgi, celery worker and celery beat."
            )
        try:
            port_check(host=host, port=port, command="serve")
            _refuse_old_tables()
            serve(host=host, port=port, on_ready=lambda: self._say_ready(host, port))
        except CannotServe as refusal:
            raise CommandError(str(refusal)) from refusal

    def _say_ready(self, host: str, port: int) -> None:
        self.stdout.write(f"Commonrow is at http://{host}:{port}/  (Ctrl+C stops it)")
        self.stdout.flush()


def _refuse_old_tables() -> None:
    if not Path(settings.DATA_FOLDER, "commonrow.sqlite3").exists():
        raise CannotServe(
            f"There is no database in {settings.DATA_FOLDER} yet. Make it first: manage.py migrate"
        )
    executor = MigrationExecutor(connection)
    missing = executor.migration_plan(executor.loader.graph.leaf_nodes())
    if missing:
        raise CannotServe(
            f"The database lacks {len(missing)} migrations. Keep a copy of {settings.DATA_FOLDER}, "
            "then bring it up to date: manage.py migrate"
        )
