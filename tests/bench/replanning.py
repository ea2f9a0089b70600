"""A whole society planned again, read from and written to PostgreSQL, at several sizes side by side."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from tests.services import postgresql_database

SAMPLED_EVERY_S = 0.25
LIMIT_S, LIMIT_MB = 60, 1000
FIRST = date(2027, 5, 10)
LAY_OUT = (
    "import sys, django; django.setup(); from tests.bench.big_society import lay_out; "
    "lay_out(int(sys.argv[1]))"
)
A_DAY_ON = (
    "import sys, datetime, django; django.setup(); from plots.models import Site; "
    "from tests.bench.big_society import weather_add; "
    "weather_add(Site.objects.get(), until=datetime.date.fromisoformat(sys.argv[1]))"
)


@dataclass(frozen=True)
class Run:
    """One replanning as it was measured from outside."""

    plots: int
    name: str
    said: dict[str, Any]
    python_mb: float
    database_mb: float
    database_cpu_s: float

    @property
    def sowings(self) -> int:
        return self.plots * 12


def replanning(sizes: Sequence[int]) -> None:
    """Plan each size for the first time, then as every night, a day of weather later."""
    runs = []
    for plots in sizes:
        with postgresql_database() as url:
            runs += _nights(plots, url)
    print(f"\nreplanning in PostgreSQL, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} at the end")
    print(
        f"{'':>22} {'sowings':>8} {'asked':>7} {'seconds':>8} {'ms each':>8} "
        f"{'CPU s':>6} {'its database':>13} {'ms CPU each':>12} {'MB':>5} {'its database':>13}"
    )
    for run in sorted(runs, key=lambda each: each.name):
        took = run.said["seconds"]
        print(
            f"{run.name:>22} {run.sowings:>8,} {run.said['counts']['questions']:>7,} {took:>8.1f} "
            f"{took / run.sowings * 1000:>8.3f} {run.said['cpu_s']:>6.1f} {run.database_cpu_s:>13.1f} "
            f"{(run.said['cpu_s'] + run.database_cpu_s) / run.sowings * 1000:>12.3f} "
            f"{run.python_mb:>5.0f} {run.database_mb:>13.0f}"
        )
    print(
        f"wanted of 120,000 sowings: {LIMIT_S} s and {LIMIT_MB} MB. CPU: of all processes together, which a\n"
        "busy machine stretches less; MB: peak of all Python processes; its database: the process that\n"
        "serves them, with the shared buffers that it touched"
    )
    for run in runs[-3:]:
        _print_steps(run)


def _nights(plots: int, url: str) -> list[Run]:
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith("COMMONROW_")},
        "DJANGO_SETTINGS_MODULE": "society.config.settings",
        "DATABASE_URL": url,
        "REDIS_URL": "redis://127.0.0.1:6379/9",
        "COMMONROW_SECRET_KEY": "only-for-a-bench-" * 4,
    }
    database = url.rpartition("/")[2]

    def python(*words: str) -> None:
        subprocess.run([sys.executable, *words], env=environment, check=True)

    python("manage.py", "migrate", "--verbosity", "0")
    python("-c", LAY_OUT, str(plots))
    runs = [_measured(plots, "first planning", FIRST, environment, database)]
    for name, day in (("night after", 1), ("second night", 2)):
        python("-c", A_DAY_ON, (FIRST + timedelta(days=day)).isoformat())
        runs.append(_measured(plots, name, FIRST + timedelta(days=day), environment, database))
    return runs


def _measured(plots: int, name: str, day: date, environment: dict[str, str], database: str) -> Run:
    command = [sys.executable, "-m", "tests.bench.replan_once", day.isoformat()]
    process = subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)
    python_mb = database_mb = database_cpu_s = 0.0
    while process.poll() is None:
        python_mb = max(python_mb, sum(_mb(pid) for pid in _family(process.pid)))
        serving = _backends(database)
        database_mb = max(database_mb, sum(_mb(pid) for pid in serving))
        database_cpu_s = max(database_cpu_s, sum(_cpu_s(pid) for pid in serving))
        time.sleep(SAMPLED_EVERY_S)
    said = process.stdout.read() if process.stdout else ""
    if process.returncode:
        raise RuntimeError(f"the replanning ended with {process.returncode}")
    return Run(plots, name, json.loads(said), python_mb, database_mb, database_cpu_s)


def _print_steps(run: Run) -> None:
    print(f"\n{run.name}, {run.sowings:,} sowings, {run.said['jobs']:,} jobs new or moved; seconds:")
    for name, took in run.said["steps"].items():
        print(f"  {name:<24} {took:6.1f}")
    print("  " + ", ".join(f"{name}: {count:,}" for name, count in run.said["counts"].items()))


def _family(root: int) -> set[int]:
    """A process and all that it started."""
    parents = {pid: parent for pid in _pids() if (parent := _parent(pid)) is not None}
    found = {root}
    while more := {pid for pid, parent in parents.items() if parent in found} - found:
        found |= more
    return found


def _backends(database: str) -> list[int]:
    return [pid for pid in _pids() if database in _read(pid, "cmdline")]


def _pids() -> list[int]:
    return [int(each.name) for each in Path("/proc").iterdir() if each.name.isdecimal()]


def _parent(pid: int) -> int | None:
    words = _read(pid, "stat").rpartition(")")[2].split()
    return int(words[1]) if len(words) > 1 else None


def _cpu_s(pid: int) -> float:
    words = _read(pid, "stat").rpartition(")")[2].split()
    return (int(words[11]) + int(words[12])) / os.sysconf("SC_CLK_TCK") if len(words) > 12 else 0.0


def _mb(pid: int) -> float:
    """Resident memory, pages shared with other processes included."""
    for line in _read(pid, "status").splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    return 0.0


def _read(pid: int, name: str) -> str:
    try:
        return (Path("/proc") / str(pid) / name).read_text()
    except OSError:
        return ""
