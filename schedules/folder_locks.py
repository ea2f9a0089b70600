"""Locks on the data folder, so that processes of one embedded server do not get in each other's way.

The kernel lets go of a lock when its holder ends, however it ends; nothing has to be cleaned up.
"""

import fcntl
import os
from pathlib import Path


class FolderLock:
    """A lock file. Shared by many, or held by one alone."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self._handle: int | None = None

    def take(self, *, alone: bool) -> bool:
        """Take the lock, or change how it is held, without waiting. False: somebody else has it."""
        if self._handle is None:
            self.path.parent.mkdir(parents=True, exist_ok=True)
            self._handle = os.open(self.path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            fcntl.flock(self._handle, (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB)
        except BlockingIOError:
            self.release()
            return False
        return True

    def release(self) -> None:
        if self._handle is not None:
            os.close(self._handle)
            self._handle = None


def in_use_lock(folder: Path) -> FolderLock:
    """Shared while a server runs on the folder; held alone while its database is exchanged."""
    return FolderLock(folder / "in_use.lock")


def beat_lock(folder: Path) -> FolderLock:
    """Held by the one process whose thread runs the periodic work."""
    return FolderLock(folder / "beat.lock")
