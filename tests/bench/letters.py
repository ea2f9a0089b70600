"""Ten thousand members' weekly letters, from due rows to a mail server, by real workers."""

import os
import smtplib
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg

from tests.bench.replanning import _backends, _cpu_s, _family, _mb
from tests.chain.deployment import Deployment
from tests.faults.migrated import migrated
from tests.faults.own_servers import OwnRedis
from tests.services import postgresql_database

TARGET = 100  # letters a second on two cores
FLOOR_LETTERS = 2000
ENDED = "SELECT count(*) FROM schedules_delivery WHERE state = 'sent'"
BYTES = "SELECT text || html FROM schedules_delivery WHERE state = 'sent' LIMIT 1"
SPAN = "SELECT count(*), min(at), max(at) FROM schedules_deliverystep WHERE state = 'sent'"
WORKER = ("worker", "-Q", "letters", "--concurrency", "2", "-l", "ERROR")


def letters(people: int) -> None:
    """Print letters a second beside a bare loop of the same bytes, and the workers' memory over the run."""
    with (
        tempfile.TemporaryDirectory() as name,
        postgresql_database() as url,
        _sink() as port,
        OwnRedis(Path(name) / "redis") as broker,
        Deployment(
            database_url=url,
            redis_url=broker.url,
            mail_port=port,
            folder=Path(name),
            COMMONROW_TODAY="",
            COMMONROW_LEASE_SECONDS="300",
        ) as house,
    ):
        migrated(url, Path(name))
        house.run("-m", "tests.bench.letter_society", str(people))
        worker = house.start("worker", "-m", "celery", "-A", "society.config", *WORKER)
        house.run("-m", "tests.bench.nudge_letters", "2")
        memory, cpu_ms = _watched(worker.pid, url, people)
        with psycopg.connect(url) as database:
            sent, first, last = database.execute(SPAN).fetchone() or (0, None, None)
            [body] = database.execute(BYTES).fetchone() or ("",)
        took_s = (last - first).total_seconds()
        floor = _floor(port, body.encode())
    rate = sent / took_s
    print(f"\nletters, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} at the end")
    print(f"{sent:,} letters in {took_s:.0f} s: {rate:.0f} a second (target {TARGET})")
    print(f"bare smtplib, same bytes, same server: {floor:.0f} a second; ratio {rate / floor:.2f}")
    print(
        f"CPU a letter: workers {cpu_ms[0]:.1f} ms, their database {cpu_ms[1]:.1f} ms; with two cores to "
        f"themselves that makes {2000 / sum(cpu_ms):.0f} a second"
    )
    print("largest pool child, MB at start, middle, end: " + ", ".join(f"{mb:.0f}" for mb in memory))


@contextmanager
def _sink() -> Iterator[int]:
    with subprocess.Popen(
        [sys.executable, "-m", "tests.bench.sink"], stdout=subprocess.PIPE, text=True
    ) as sink:
        assert sink.stdout is not None
        try:
            yield int(sink.stdout.readline())
        finally:
            sink.terminate()


def _watched(worker: int, url: str, people: int) -> tuple[list[float], tuple[float, float]]:
    """The largest child's memory after a tenth of the letters, half of them and all; CPU ms a letter between.

    CPU of the workers and of the database's processes that serve them, from a tenth of the letters on.
    """
    memory: list[float] = []
    spent: list[tuple[int, float, float]] = []
    name = url.rpartition("/")[2]
    with psycopg.connect(url, autocommit=True) as database:
        watching = database.info.backend_pid
        for share in (0.1, 0.5, 0.95):
            while (sent := (database.execute(ENDED).fetchone() or (0,))[0]) < share * people:
                time.sleep(1)
            family = _family(worker)
            memory.append(max(_mb(pid) for pid in family - {worker}))
            serving = [pid for pid in _backends(name) if pid != watching]
            spent.append((sent, sum(map(_cpu_s, family)), sum(map(_cpu_s, serving))))
        while (database.execute(ENDED).fetchone() or (0,))[0] < people:
            time.sleep(1)
    (first, ours, theirs), (last, ours_then, theirs_then) = spent[0], spent[-1]
    each = 1000 / (last - first)
    return memory, ((ours_then - ours) * each, (theirs_then - theirs) * each)


def _floor(port: int, body: bytes) -> float:
    message = b"Subject: a letter\r\n\r\n" + body
    with smtplib.SMTP("127.0.0.1", port) as line:
        began = time.perf_counter()
        for _ in range(FLOOR_LETTERS):
            line.sendmail("letters@commonrow.example", ["ana@alderlane.example"], message)
        return FLOOR_LETTERS / (time.perf_counter() - began)
