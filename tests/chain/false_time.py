"""The real beat process in a time of its own, under libfaketime, sped up as soon as it has begun."""

import os
import re
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

from tests import services
from tests.chain.deployment import Deployment, kill, until

SENT = re.compile(r"^\[(\d{4}-\d\d-\d\d \d\d:\d\d:\d\d),(\d{3}): INFO.*Sending due task (.+) \(")
LETTERS = "letters: send what is due"
HAS_BEGUN = "beat: Starting"
# A sleep that began before time was sped up holds a beat no longer than this many real seconds.
NAP = "2"
MINUTE = timedelta(minutes=1)


def library() -> str:
    """The library to load before a process, or a skipped test that says how to get it."""
    found = sorted(Path("/usr/lib").glob("*/faketime/libfaketimeMT.so.1"))
    if not found:
        services.not_to_be_had("no libfaketime on this machine; install the package faketime")
    return str(found[-1])


@dataclass(frozen=True)
class Sweeps:
    """The instants at which a beat sent the sweep of letters, as its own log tells them."""

    at: tuple[datetime, ...]

    @property
    def minutes(self) -> float:
        return (self.at[-1] - self.at[0]) / MINUTE

    @property
    def gaps(self) -> list[timedelta]:
        return [later - earlier for earlier, later in pairwise(self.at)]

    @property
    def lateness_min(self) -> float:
        """What the machine came late in all, which speed makes as many times longer."""
        return sum((gap - MINUTE) / MINUTE for gap in self.gaps)

    def said(self) -> str:
        return (
            f"{len(self.at)} sweeps in {self.minutes:.1f} minutes, {self.lateness_min:.1f} of them too late"
        )


class FalseBeat:
    """A beat that lives in the small hours of a night, `speed` times as fast."""

    def __init__(self, house: Deployment, folder: Path, name: str, *, begins: datetime, speed: int) -> None:
        """`begins` in UTC. The schedule that it keeps in the folder outlives it."""
        self.log, self.clock = folder / f"{name}.log", folder / f"{name}.time"
        self.begins, self.speed = begins, speed
        self._set(f"@{int(begins.timestamp())} x1")
        house.environment["FAKETIME_TIMESTAMP_FILE"] = str(self.clock)
        options = ("-s", str(folder / "schedule"), "--pidfile", "", "-l", "INFO", "--max-interval", NAP)
        self.process = house.start(name, "-m", "celery", "-A", "society.config", "beat", *options)

    def hurry(self) -> None:
        """Wait until it has begun, and let its time run."""
        assert until(lambda: HAS_BEGUN in self.log.read_text(), seconds=120, nap=time.sleep), self.said()
        self._set(f"@{int(self.begins.timestamp()) + 1} x{self.speed}")

    def live(self, *, until_instant: datetime) -> Sweeps:
        def is_over() -> bool:
            found = self.sweeps().at
            return bool(found) and found[-1] >= until_instant

        assert until(is_over, seconds=300, nap=time.sleep), self.said()
        return self.sweeps()

    def sweeps(self) -> Sweeps:
        found = [SENT.match(line) for line in self.log.read_text().splitlines()]
        return Sweeps(
            tuple(
                datetime.fromisoformat(f"{line[1]}.{line[2]}").replace(tzinfo=UTC)
                for line in found
                if line is not None and line[3] == LETTERS
            )
        )

    def said(self) -> str:
        return self.log.read_text()[-3000:]

    def stop(self) -> None:
        self.process.terminate()
        self.process.wait(30)
        kill(self.process)

    def _set(self, words: str) -> None:
        draft = self.clock.with_suffix(".part")
        draft.write_text(words + "\n")
        os.replace(draft, self.clock)


@contextmanager
def house_of(folder: Path, redis_url: str, *, zone: str) -> Iterator[Deployment]:
    """What a beat needs to start: it never asks the database."""
    with Deployment(
        database_url="postgres://nobody@127.0.0.1:1/none",
        redis_url=redis_url,
        mail_port=25,
        folder=folder,
        COMMONROW_TODAY="",
        COMMONROW_SWEEP_SECONDS="60",
        LD_PRELOAD=library(),
        FAKETIME_FMT="%s",
        FAKETIME_NO_CACHE="1",
        TZ=zone,
    ) as house:
        yield house
