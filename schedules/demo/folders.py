"""Which society lies in the data folder, and putting one aside for another. Nothing is ever lost.

The database at DATA_FOLDER/commonrow.sqlite3 and the mail folder are always the ones shown last; others
wait under kept/, each by the day it was laid out for.
"""

import os
import shutil
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

LIVE = "live"
DATABASE = "commonrow.sqlite3"
MAIL = "mail"
SIDE_FILES = ("-wal", "-shm")


class FolderRefused(Exception):
    """The data folder holds something that the demo must not touch; says what and what to do."""


@dataclass(frozen=True, slots=True)
class DataFolder:
    path: Path

    @property
    def database(self) -> Path:
        return self.path / DATABASE

    @property
    def mail(self) -> Path:
        return self.path / MAIL

    def kept(self, label: str) -> Path:
        return self.path / "kept" / label

    def label(self) -> str | None:
        """The day that the present society was laid out for, LIVE, or None where there is no society yet.

        Raises FolderRefused unless the society is an invented one.
        """
        if not self.database.exists():
            return None
        try:
            return self._label_read()
        except sqlite3.Error as fault:
            raise FolderRefused(f"{self.database} cannot be read as a Commonrow database: {fault}") from fault

    def _label_read(self) -> str | None:
        with closing(sqlite3.connect(self.database)) as database:
            tables = {name for (name,) in database.execute("SELECT name FROM sqlite_master")}
            if "society_society" not in tables:
                self._check_empty(database, tables)
                return None
            rows = database.execute("SELECT name, is_invented, shown_on FROM society_society").fetchall()
            if not rows:
                self._check_empty(database, tables)
                return None
            for name, is_invented, _ in rows:
                if not is_invented:
                    raise FolderRefused(self._hands_off(f"the society {name!r}, which is not the demo's"))
            return str(rows[0][2] or LIVE)

    def _check_empty(self, database: sqlite3.Connection, tables: set[str]) -> None:
        if "society_account" in tables:
            (accounts,) = database.execute("SELECT count(*) FROM society_account").fetchone()
            if accounts:
                raise FolderRefused(self._hands_off("accounts that the demo did not make"))

    def _hands_off(self, what: str) -> str:
        return (
            f"{self.path} holds {what}; the demo leaves it alone. "
            "Show the demo in a folder of its own: COMMONROW_DATA=/tmp/commonrow-demo manage.py demo"
        )

    def set_aside(self, label: str) -> None:
        """Move the present society to kept/; mail first, because the database carries the label."""
        self._write_log_back()
        target = self.kept(label)
        target.mkdir(parents=True, exist_ok=True)
        if self.mail.exists():
            shutil.rmtree(target / MAIL, ignore_errors=True)
            os.replace(self.mail, target / MAIL)
        self._drop_side_files()
        os.replace(self.database, target / DATABASE)

    def bring_back(self, label: str) -> bool:
        """Move a kept society to its place; False when none was kept. Safe to repeat after a crash."""
        source = self.kept(label)
        if (source / MAIL).exists() and not self.mail.exists():
            os.replace(source / MAIL, self.mail)
        if not (source / DATABASE).exists():
            return False
        self._drop_side_files()
        os.replace(source / DATABASE, self.database)
        return True

    def drop(self) -> None:
        """Remove the present society, which is the one that was asked to start over."""
        self._drop_side_files()
        self.database.unlink(missing_ok=True)
        shutil.rmtree(self.mail, ignore_errors=True)

    def drop_kept(self, label: str) -> None:
        shutil.rmtree(self.kept(label), ignore_errors=True)

    def _write_log_back(self) -> None:
        with closing(sqlite3.connect(self.database, timeout=1)) as database:
            (is_busy, _, _) = database.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        if is_busy:
            raise FolderRefused(f"{self.database} is open in another program; close that and try again.")

    def _drop_side_files(self) -> None:
        """Nobody has the database open and its log is written back: what is left beside it is empty."""
        for ending in SIDE_FILES:
            self.database.with_name(DATABASE + ending).unlink(missing_ok=True)
