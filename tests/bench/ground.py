"""The ground of a whole society judged strip by strip from PostgreSQL, and the same verdicts from SQLite.

``python -m tests.bench ground`` with numbers of plots or without. The floor is the bare tree of boxes and the
areas of what it finds, of the same polygons in the same run; the geometry of the judging may take twice that.
"""

import hashlib
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from tests.services import postgresql_database

LIMIT_S, LIMIT_MB, LIMIT_FLOORS = 120, 500, 2.0
COMPARED_PLOTS = 100
LAY_OUT = (
    "import sys, django; django.setup(); from tests.bench.ground_society import lay_out; "
    "lay_out(int(sys.argv[1]))"
)
VERDICTS = (
    "import django, json; django.setup(); from plots.models import GroundVerdict; "
    "rows = GroundVerdict.objects.order_by('sowing__key').values_list('sowing__key', 'level', 'rule', "
    "'source', 'area_m2', 'share', 'free_from_season'); "
    "print(json.dumps([list(map(str, row)) for row in rows]))"
)


def ground(sizes: Sequence[int]) -> None:
    """Judge each size twice, for the first time and as every night, then compare two databases."""
    for plots in sizes:
        with postgresql_database() as url:
            environment = _laid_out(plots, url)
            for name in ("first time", "night after"):
                _print(f"{plots:,} plots, {name}", _judged(environment))
    _print_comparison()


def _laid_out(plots: int, url: str) -> dict[str, str]:
    environment = {
        **{name: value for name, value in os.environ.items() if not name.startswith("COMMONROW_")},
        "DJANGO_SETTINGS_MODULE": "society.config.settings",
        "DATABASE_URL": url,
        "REDIS_URL": "redis://127.0.0.1:6379/9",
        "COMMONROW_SECRET_KEY": "only-for-a-bench-" * 4,
    }
    _python(environment, "manage.py", "migrate", "--verbosity", "0")
    _python(environment, "-c", LAY_OUT, str(plots))
    if url.startswith("postgres"):
        _python(environment, "-c", "import django; django.setup(); from django.db import connection; "
                "connection.cursor().execute('ANALYZE')")  # fmt: skip
    return environment


def _judged(environment: dict[str, str]) -> dict[str, Any]:
    said: dict[str, Any] = json.loads(_python(environment, "-m", "tests.bench.judge_once"))
    return said


def _python(environment: dict[str, str], *words: str) -> str:
    done = subprocess.run(
        [sys.executable, *words], env=environment, check=True, capture_output=True, text=True
    )
    return done.stdout


def _print(name: str, said: dict[str, Any]) -> None:
    steps, counts = said["steps"], said["counts"]
    floors = steps["geometry"] / steps["floor"]
    print(
        f"\n{name}: {counts['wanted']:,} sowings against {counts['uses']:,} uses that may matter\n"
        f"  {said['seconds']:.1f} s ({said['cpu_s']:.1f} s CPU here), peak {said['peak_mb']:.0f} MB; "
        f"wanted of 10,000 plots: {LIMIT_S} s, {LIMIT_MB} MB\n"
        f"  geometry {steps['geometry']:.1f} s, floor {steps['floor']:.1f} s over {counts['pairs']:,} pairs: "
        f"{floors:.2f} floors, wanted {LIMIT_FLOORS:g}\n"
        f"  judging in all {steps['judging']:.1f} s, reading uses {steps['reading uses']:.1f} s, "
        f"keeping {steps['keeping verdicts']:.1f} s; load {os.getloadavg()[0]:.1f}\n"
        f"  {', '.join(f'{level}: {count:,}' for level, count in sorted(said['levels'].items()))}"
    )


def _print_comparison() -> None:
    """One society in both databases: the verdicts must be the same to the last digit kept."""
    found = {}
    with tempfile.TemporaryDirectory() as folder, postgresql_database() as url:
        for address in (url, f"sqlite:///{Path(folder) / 'ground.sqlite3'}"):
            environment = _laid_out(COMPARED_PLOTS, address)
            _judged(environment)
            found[address] = hashlib.sha256(_python(environment, "-c", VERDICTS).encode()).hexdigest()
    if len(set(found.values())) > 1:
        raise SystemExit("the verdicts depend on the database")
    print(f"\n{COMPARED_PLOTS} plots in PostgreSQL and in SQLite: the verdicts are the same")
