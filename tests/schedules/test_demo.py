"""The one command a newcomer types, run as a newcomer runs it: in a process of its own, on a fresh folder."""

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
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

ROOT = Path(__file__).resolve().parents[2]
SPRING, SUMMER, WINTER = "2027-04-12", "2027-07-01", "2027-11-25"
STANDING = {"DATABASE_URL", "REDIS_URL", "EMAIL_URL", "COMMONROW_TODAY", "DJANGO_SETTINGS_MODULE"}


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


@pytest.fixture(scope="module")
def spring(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, Any]]:
    folder = tmp_path_factory.mktemp("spring")
    return folder, demo(folder, "--today", SPRING)


def test_a_second_run_comes_to_the_same_counts(spring: tuple[Path, dict[str, Any]]) -> None:
    folder, first = spring
    before = letters_in(folder)
    assert demo(folder, "--today", SPRING) == first
    assert letters_in(folder) == before


def test_the_summary_is_alive_in_spring(spring: tuple[Path, dict[str, Any]]) -> None:
    folder, summary = spring
    assert list(summary) == ["members", "plots", "sowings", "jobs_due", "rest_warnings", "letters_written"]
    assert summary["members"] == 5
    assert summary["plots"] == 6
    assert sum(summary["jobs_due"].values()) > 0
    assert summary["letters_written"] == len(letters_in(folder)) >= 2


def test_exactly_one_root_crop_stands_too_soon(spring: tuple[Path, dict[str, Any]]) -> None:
    folder, summary = spring
    broken = query(
        folder,
        "SELECT s.crop, v.level FROM plots_groundverdict v JOIN plots_sowing s ON s.id = v.sowing_id "
        "WHERE v.level IN ('broken', 'short')",
    )
    assert broken == [("parsnip", "broken")]
    assert summary["rest_warnings"] == 1


@pytest.mark.parametrize("day", [SUMMER, WINTER, "live"])
def test_every_time_of_the_year_has_work_letters_and_a_warning(tmp_path: Path, day: str) -> None:
    summary = demo(tmp_path, *(() if day == "live" else ("--today", day)))
    assert sum(summary["jobs_due"].values()) > 0
    assert summary["letters_written"] >= 2
    assert summary["rest_warnings"] >= 1


def test_another_day_sets_the_first_aside_and_brings_it_back(tmp_path: Path) -> None:
    first = demo(tmp_path, "--today", "2027-01-15")
    query(tmp_path, "UPDATE society_member SET name = 'Ana Changed' WHERE name LIKE 'Ana %'")
    letters = letters_in(tmp_path)
    demo(tmp_path, "--today", "2027-02-20")
    kept = tmp_path / "kept" / "2027-01-15"
    assert (kept / "commonrow.sqlite3").exists()
    assert query(tmp_path, "SELECT shown_on FROM society_society") == [("2027-02-20",)]
    assert demo(tmp_path, "--today", "2027-01-15") == first
    assert query(tmp_path, "SELECT count(*) FROM society_member WHERE name = 'Ana Changed'") == [(1,)]
    assert letters_in(tmp_path) == letters
    assert (tmp_path / "kept" / "2027-02-20" / "commonrow.sqlite3").exists()


def test_fresh_starts_the_asked_day_over(tmp_path: Path) -> None:
    first = demo(tmp_path, "--today", "2027-01-15")
    query(tmp_path, "UPDATE society_member SET name = 'Ana Changed' WHERE name LIKE 'Ana %'")
    assert demo(tmp_path, "--today", "2027-01-15", "--fresh") == first
    assert query(tmp_path, "SELECT count(*) FROM society_member WHERE name = 'Ana Changed'") == [(0,)]


def test_a_society_in_earnest_is_left_alone(tmp_path: Path) -> None:
    assert manage(tmp_path, "migrate", "--verbosity", "0").returncode == 0
    query(
        tmp_path,
        "INSERT INTO society_society (name, zone, is_invented) VALUES ('Real Lane', 'Europe/London', 0)",
    )
    run = manage(tmp_path, "demo", "--no-serve", "--fresh")
    assert run.returncode != 0
    assert "Real Lane" in run.stderr
    assert "COMMONROW_DATA" in run.stderr
    assert query(tmp_path, "SELECT name FROM society_society") == [("Real Lane",)]


def test_a_full_deployment_is_refused(tmp_path: Path) -> None:
    run = manage(
        tmp_path,
        "demo",
        DATABASE_URL="postgres://nobody@127.0.0.1:1/none",
        REDIS_URL="redis://127.0.0.1:1/0",
        COMMONROW_SECRET_KEY="0123456789abcdefghijklmnopqrstuvwxyz-0123456789-abcdefgh",
    )
    assert run.returncode != 0
    assert "Unset DATABASE_URL" in run.stderr


def test_a_day_that_is_none_is_named(tmp_path: Path) -> None:
    run = manage(tmp_path, "demo", "--no-serve", "--today", "12 April")
    assert run.returncode != 0
    assert "--today: '12 April' is not a date; write it like 2027-04-12" in run.stderr


def test_a_taken_port_is_said_before_any_work(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        run = manage(tmp_path, "demo", "--port", str(port))
    assert run.returncode != 0
    assert f"Port {port}" in run.stderr
    assert f"--port {port + 1}" in run.stderr
    assert not (tmp_path / "commonrow.sqlite3").exists()


def test_serve_asks_for_missing_migrations(tmp_path: Path) -> None:
    run = manage(tmp_path, "serve", "--port", str(free_port()))
    assert run.returncode != 0
    assert "manage.py migrate" in run.stderr


def test_the_demo_serves_sweeps_and_stops_on_ctrl_c(spring: tuple[Path, dict[str, Any]]) -> None:
    folder, _ = spring
    port = free_port()
    words = ("demo", "--today", SPRING, "--port", str(port))
    with running(folder, *words, COMMONROW_SWEEP_SECONDS="1") as process:
        assert until(lambda: status_of(port, "/healthz"), seconds=40) == 200
        assert status_of(port, "/log-in/") == 200
        assert page_after_log_in(port, "ana@sallowbend.example", "two-rows-of-early-carrots") == "/"
        first = sweep_of(folder)
        assert until(lambda: sweep_of(folder) > first, seconds=15), "the embedded beat never swept"
        assert manage(folder, *words[:-1], str(free_port())).returncode != 0, "the folder was changed in use"
        assert until(letter_due(folder), seconds=15), "the embedded beat sent nothing"
        os.killpg(process.pid, signal.SIGINT)
        begun = time.monotonic()
        assert process.wait(timeout=15) == 0
        assert time.monotonic() - begun < 10


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
        "state, attempts, doubts, message_id, last_error, address, title, text, html, made_at) "
        "SELECT ?, id, 'weekly', 'week-again', '2027-04-12', ?, ?, 'due', 0, 0, ?, '', '', '', '', '', ? "
        "FROM society_member WHERE email = 'ana@sallowbend.example'",
        key.hex, str(due), str(due), f"<{key}@commonrow.example>", str(due),
    )  # fmt: skip
    return lambda: f"{key}@commonrow.example.eml" in letters_in(folder)
