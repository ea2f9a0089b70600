"""`manage.py demo`: the invented society, from nothing to a running server in one command."""

import json
import os
import sys
from argparse import ArgumentParser
from dataclasses import asdict
from datetime import date
from multiprocessing import get_context
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from schedules.demo.folders import FolderRefused
from schedules.demo.layout import read_layout
from schedules.demo.preparing import Prepared, demo_prepare
from schedules.demo.progress import Progress
from schedules.demo.tables import LayoutFault
from schedules.folder_locks import in_use_lock
from schedules.serving import CannotServe, port_check, serve

HOST = "127.0.0.1"
FIXTURES = Path(settings.ROOT) / "demo_fixtures"


class Command(BaseCommand):
    help = "Load an invented society, plan its week, write its letters, and serve it at 127.0.0.1."
    requires_system_checks = ()  # a newcomer waits for this command; the test gate runs the checks

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--today", metavar="YYYY-MM-DD", help="show the society on this day")
        parser.add_argument("--fresh", action="store_true", help="start that day's society over")
        parser.add_argument("--port", type=int, default=8000, help="port to serve at (default 8000)")
        parser.add_argument("--no-serve", action="store_true", help="do everything but serve")
        parser.add_argument("--json", action="store_true", help="only the summary, as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        _refuse_full_deployment()
        day = _day(options["today"] or settings.PRETEND_TODAY)
        port, serves = options["port"], not options["no_serve"]
        try:
            if serves:
                port_check(host=HOST, port=port, command="demo")
            _show(day, port)
            if not serves:
                self._make_ready(day, options)
                return
            self._make_ready_aside(day, options)
            serve(host=HOST, port=port, on_ready=lambda: self._say_ready(port, options["json"]))
        except (CannotServe, FolderRefused, LayoutFault) as refusal:
            raise CommandError(str(refusal)) from refusal

    def _make_ready(self, day: date | None, options: dict[str, Any]) -> None:
        progress = Progress(sys.stderr, is_silent=options["json"])
        prepared = _prepare(day, fresh=options["fresh"], progress=progress)
        self._report(prepared, as_json=options["json"])

    def _make_ready_aside(self, day: date | None, options: dict[str, Any]) -> None:
        """Load in a process that ends again: what loading took does not stay in the server's memory."""

        def work() -> None:
            try:
                self._make_ready(day, options)
            except (CannotServe, FolderRefused, LayoutFault) as refusal:
                self.stderr.write(f"CommandError: {refusal}")
                sys.exit(1)
            except KeyboardInterrupt:
                sys.exit(1)

        worker = get_context("fork").Process(target=work)
        try:
            worker.start()
            worker.join()
        except KeyboardInterrupt:
            worker.join()
            raise CommandError("Stopped before everything was ready; nothing is half loaded.") from None
        if worker.exitcode:
            sys.exit(worker.exitcode)

    def _report(self, prepared: Prepared, *, as_json: bool) -> None:
        summary = asdict(prepared.summary)
        if as_json:
            self.stdout.write(json.dumps(summary))
            self.stdout.flush()
            return
        due = ", ".join(f"{kind} {count}" for kind, count in summary["jobs_due"].items()) or "none"
        self.stdout.write(
            f"On {prepared.today:%A %-d %B %Y}: {summary['members']} members, {summary['plots']} plots, "
            f"{summary['sowings']} sowings on record.\n"
            f"Jobs of the coming week: {due}.\n"
            f"Warnings of ground not rested: {summary['rest_warnings']}. "
            f"Letters of this week: {summary['letters_written']}, in {settings.MAIL_FOLDER}"
        )
        self.stdout.flush()

    def _say_ready(self, port: int, is_silent: bool) -> None:
        if is_silent:
            return
        layout = read_layout(FIXTURES)
        passwords = {row.text("email"): row.text("password") for row in layout.accounts}
        self.stdout.write(f"\nCommonrow is at http://{HOST}:{port}/")
        for role, email in layout.about["show_log_ins"].items():
            self.stdout.write(f"  log in as {role}: {email}  password: {passwords[email]}")
        self.stdout.write(
            f"  noticeboard: open http://{HOST}:{port}/screen/ in a browser of this machine. The first to "
            "ask is let in; any other shows a code that the committee types."
        )
        self.stdout.write("Ctrl+C stops it; what you change is kept for the next time.")
        self.stdout.flush()


def _refuse_full_deployment() -> None:
    if not settings.EMBEDDED:
        raise CommandError(
            "DATABASE_URL is set, so this is a full deployment, and the demo never touches one. "
            "Unset DATABASE_URL and REDIS_URL to see the demo."
        )
    if settings.MAIL_FOLDER is None:
        raise CommandError("EMAIL_URL is set; the demo's letters go to a folder only. Unset EMAIL_URL.")


def _day(text: str) -> date | None:
    if not text:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise CommandError(f"--today: {text!r} is not a date; write it like 2027-04-12") from None


def _show(day: date | None, port: int) -> None:
    """Let this process, and the server it turns into, live on the day and at the port that were asked for."""
    settings.PRETEND_TODAY = os.environ["COMMONROW_TODAY"] = day.isoformat() if day else ""
    if "COMMONROW_PUBLIC_URL" not in os.environ:
        settings.PUBLIC_URL = f"http://{HOST}:{port}"


def _prepare(day: date | None, *, fresh: bool, progress: Progress) -> Prepared:
    folder = Path(settings.DATA_FOLDER)
    lock = in_use_lock(folder)
    if not lock.take(alone=True):
        raise CannotServe(
            f"Another Commonrow is running on {folder}. Stop it there with Ctrl+C, or give this one a folder "
            "of its own: COMMONROW_DATA=/tmp/commonrow-demo manage.py demo"
        )
    try:
        return demo_prepare(day=day, fresh=fresh, fixtures=FIXTURES, progress=progress)
    finally:
        lock.release()
