"""A file of old records as large as one may be, in both databases: ``python -m tests.bench records``.

The limits are of comfort: somebody waits for the preview before a page. They decide nothing.
"""

import json
import os
import subprocess
import sys
import tempfile
from typing import Any

from tests.services import postgresql_database

MOST_ROWS, LIMIT_PREVIEW_S, LIMIT_MB = 20_000, 20, 500


def records(rows: int = MOST_ROWS) -> None:
    with tempfile.TemporaryDirectory() as folder, postgresql_database() as url:
        for name, where in (("SQLite", {"COMMONROW_DATA": folder}), ("PostgreSQL", full(url))):
            said = taken(rows, where)
            print(f"{name}, {rows:,} rows: preview under {LIMIT_PREVIEW_S} s, {LIMIT_MB} MB wanted")
            for key, value in said.items():
                if key != "digest":
                    print(f"  {key}: {value}")


def full(url: str) -> dict[str, str]:
    """The full deployment's settings round one database."""
    return {
        "DATABASE_URL": url,
        "REDIS_URL": "redis://127.0.0.1:6379/9",
        "COMMONROW_SECRET_KEY": "only-for-a-bench-" * 4,
    }


def taken(rows: int, where: dict[str, str]) -> dict[str, Any]:
    """What one process says that takes so many rows into the database named by its environment."""
    bare = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith("COMMONROW_") and name not in {"DATABASE_URL", "REDIS_URL"}
    }
    environment = {**bare, "DJANGO_SETTINGS_MODULE": "society.config.settings", **where}
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.records_once", str(rows)],
        env=environment, check=True, capture_output=True, text=True,
    )  # fmt: skip
    said: dict[str, Any] = json.loads(done.stdout)
    return said
