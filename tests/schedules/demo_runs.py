"""Running the demo as a newcomer does, in a process of its own, and looking at what it left behind."""

import json
import os
import re
import signal
import socket
import sqlite3
import subprocess
import sys
import time
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

ROOT = Path(__file__).resolve().parents[2]
SPRING, SUMMER, WINTER, LIVE = "2027-04-12", "2027-07-01", "2027-11-25", "live"
STANDING = {"DATABASE_URL", "REDIS_URL", "EMAIL_URL", "COMMONROW_TODAY", "DJANGO_SETTINGS_MODULE"}


@dataclass(frozen=True, slots=True)
class Run:
    """A data folder and what the demo said of it."""

    folder: Path
    summary: dict[str, Any]


def environment(folder: Path, **more: str) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in STANDING}
    return {**kept, "COMMONROW_DATA": str(folder), "PYTHONUNBUFFERED": "1", **more}


def manage(folder: Path, *words: str, **more: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "manage.py", *words]
    return subprocess.run(
        command, cwd=ROOT, env=environment(folder, **more), capture_output=True, text=True, timeout=120
    )


def demo(folder: Path, *words: str) -> dict[str, Any]:
    run = manage(folder, "demo", "--no-serve", "--json", *words)
    assert run.returncode == 0, run.stderr
    return dict(json.loads(run.stdout))


def query(folder: Path, statement: str, *values: Any) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(folder / "commonrow.sqlite3", timeout=20)) as database, database:
        return database.execute(statement, values).fetchall()


def letters_in(folder: Path) -> set[str]:
    return {path.name for path in (folder / "mail").glob("*.eml")}


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def until(found: Callable[[], Any], *, seconds: float) -> Any:
    """What `found` comes to once it is no longer false or refused, within so many seconds."""
    ends = time.monotonic() + seconds
    while True:
        try:
            answer = found()
        except OSError:
            answer = None
        if answer or time.monotonic() > ends:
            return answer
        time.sleep(0.1)


def status_of(port: int, path: str) -> int:
    with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}", timeout=5) as answer:
        return int(answer.status)


@contextmanager
def running(folder: Path, *words: str, **more: str) -> Iterator[subprocess.Popen[str]]:
    """A server of our own, in its own process group, that is gone afterwards whatever happened."""
    process = subprocess.Popen(
        [sys.executable, "manage.py", *words],
        cwd=ROOT,
        env=environment(folder, **more),
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    try:
        yield process
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.communicate()


def page_after_log_in(port: int, email: str, password: str) -> str:
    """Fill in the log-in form as a browser does, then ask for the first page; the path that answers."""
    site = f"http://127.0.0.1:{port}"
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    page = browser.open(f"{site}/log-in/", timeout=10).read().decode()
    kinds = {"email": email, "text": email, "password": password}
    fields = {}
    for tag in re.findall(r"<input[^>]*>", page):
        attributes = dict(re.findall(r'(\w+)="([^"]*)"', tag))
        if attributes.get("type") == "hidden" or attributes.get("type") in kinds:
            fields[attributes["name"]] = kinds.get(attributes["type"], attributes.get("value", ""))
    browser.open(f"{site}/log-in/", urllib.parse.urlencode(fields).encode(), timeout=10).close()
    with browser.open(f"{site}/", timeout=10) as answer:
        return str(urllib.parse.urlsplit(answer.url).path)


def sweep_of(folder: Path) -> str:
    ((finished_at,),) = query(
        folder, "SELECT finished_at FROM schedules_sweep WHERE name = 'deliveries_send'"
    )
    return str(finished_at)


def letter_due(folder: Path) -> Callable[[], bool]:
    """Write down one letter that is due, as another process would; the answer is whether it has arrived."""
    key = uuid4()
    due = datetime(2027, 4, 12, tzinfo=UTC) - timedelta(hours=1)
    query(
        folder,
        "INSERT INTO schedules_delivery (key, member_id, kind, subject_key, local_date, due_at, not_before, "
        "state, attempts, doubts, losses, message_id, last_error, address, title, text, html, told, follows, "
        "made_at) "
        "SELECT ?, id, 'weekly', 'week-again', '2027-04-12', ?, ?, 'due', 0, 0, 0, ?, '', '', '', '', '', "
        "'{}', '', ? FROM society_member WHERE email = 'ana@sallowbend.example'",
        key.hex, str(due), str(due), f"<{key}@commonrow.example>", str(due),
    )  # fmt: skip
    return lambda: f"{key}@commonrow.example.eml" in letters_in(folder)
