"""One migrated PostgreSQL database a test run, which tests copy: migrating anew costs seconds each time.

Whoever comes first makes it, whoever leaves last drops it. Locks on files in the run's folder tell who that
is; a process that dies lets go of them.
"""

import fcntl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import IO

from tests import services
from tests.faults.migrated import migrated


@contextmanager
def shared_model(folder: Path) -> Iterator[str]:
    """Its address. `folder` is the same for all processes of a run, and for no other run."""
    address = folder / "migrated-database"
    with (folder / "migrated-database.users").open("a") as users:
        with _alone(folder):
            fcntl.flock(users, fcntl.LOCK_SH)
            if not address.exists():
                address.write_text(_made(folder))
            url = address.read_text()
        try:
            yield url
        finally:
            with _alone(folder):
                if _is_last(users):
                    address.unlink()
                    services.drop_database(url)


def _made(folder: Path) -> str:
    url = services.create_database()
    try:
        migrated(url, folder)
    except BaseException:
        services.drop_database(url)
        raise
    return url


@contextmanager
def _alone(folder: Path) -> Iterator[None]:
    """Nobody else comes or leaves meanwhile."""
    with (folder / "migrated-database.lock").open("a") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _is_last(users: IO[str]) -> bool:
    try:
        fcntl.flock(users, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
