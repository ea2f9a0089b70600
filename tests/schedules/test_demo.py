"""The one command a newcomer types, run as a newcomer runs it: in a process of its own, on a fresh folder."""

import json
import os
import shutil
import signal
import socket
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.schedules.demo_runs import (
    LIVE,
    ROOT,
    SPRING,
    SUMMER,
    WINTER,
    Run,
    demo,
    free_port,
    letter_due,
    letters_in,
    manage,
    page_after_log_in,
    query,
    running,
    status_of,
    sweep_of,
    until,
)

ACCOUNTS = ROOT / "demo_fixtures" / "accounts.csv"
KEYS = ["members", "plots", "sowings", "jobs_due", "rest_warnings", "letters_written"]


def test_a_second_run_comes_to_the_same_counts(spring: Run) -> None:
    before = letters_in(spring.folder)
    assert demo(spring.folder, "--today", SPRING) == spring.summary
    assert letters_in(spring.folder) == before


def test_the_summary_counts_people_plots_and_letters(spring: Run) -> None:
    assert list(spring.summary) == KEYS
    assert (spring.summary["members"], spring.summary["plots"]) == (22, 24)
    assert spring.summary["letters_written"] == len(letters_in(spring.folder))


@pytest.mark.parametrize("day", [SPRING, SUMMER, WINTER, LIVE])
def test_every_time_of_the_year_has_work_letters_and_the_three_warnings(
    society_on: Callable[[str], Run], day: str
) -> None:
    summary = society_on(day).summary
    assert sum(summary["jobs_due"].values()) >= 10
    assert summary["letters_written"] >= 8
    assert summary["rest_warnings"] == 3


def test_another_day_sets_the_first_aside_and_brings_it_back(
    society_on: Callable[[str], Run], spring: Run, tmp_path: Path
) -> None:
    winter = society_on(WINTER)
    folder = Path(shutil.copytree(winter.folder, tmp_path / "data"))
    assert query(folder, "SELECT shown_on FROM society_society") == [(WINTER,)]
    query(folder, "UPDATE society_member SET name = 'Ana Changed' WHERE name LIKE 'Ana %'")
    assert demo(folder, "--today", SPRING) == spring.summary
    assert letters_in(folder) == letters_in(spring.folder)
    assert (folder / "kept" / WINTER / "commonrow.sqlite3").exists()
    assert demo(folder, "--today", WINTER) == winter.summary
    assert query(folder, "SELECT count(*) FROM society_member WHERE name = 'Ana Changed'") == [(1,)]
    assert letters_in(folder) == letters_in(winter.folder)


def test_fresh_starts_the_asked_day_over(society_on: Callable[[str], Run], spring: Run) -> None:
    summer = society_on(SUMMER)
    ((name,),) = query(summer.folder, "SELECT name FROM society_society")
    assert name == "Sallowbend Allotment Society"
    assert not letters_in(summer.folder) & letters_in(spring.folder)
    assert not (summer.folder / "kept" / SUMMER).exists()


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


def test_the_demo_serves_sweeps_and_stops_on_ctrl_c(spring: Run) -> None:
    port = free_port()
    words = ("demo", "--today", SPRING, "--port", str(port))
    with running(spring.folder, *words, COMMONROW_SWEEP_SECONDS="1") as process:
        assert until(lambda: status_of(port, "/healthz"), seconds=40) == 200
        for email, password in printed_log_ins():
            assert page_after_log_in(port, email, password) == "/", email
        first = sweep_of(spring.folder)
        assert until(lambda: sweep_of(spring.folder) > first, seconds=15), "the embedded beat never swept"
        elsewhere = manage(spring.folder, *words[:-1], str(free_port()))
        assert elsewhere.returncode != 0, "the folder was changed in use"
        assert until(letter_due(spring.folder), seconds=15), "the embedded beat sent nothing"
        os.killpg(process.pid, signal.SIGINT)
        begun = time.monotonic()
        assert process.wait(timeout=15) == 0
        assert time.monotonic() - begun < 10


def printed_log_ins() -> list[tuple[str, str]]:
    """What the demo tells the newcomer: a grower, a couple, the committee, the administrator."""
    shown = json.loads((ACCOUNTS.parent / "society.json").read_text())["show_log_ins"]
    passwords = dict(line.split(",")[:2] for line in ACCOUNTS.read_text().splitlines())
    assert list(shown) == ["grower", "couple", "committee", "administrator"]
    return [(email, passwords[email]) for email in shown.values()]
