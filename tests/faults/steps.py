"""The steps of a letter at which a worker may be killed, and what is known afterwards.

Every process of a worker writes the step that it is at into a file of its own before it goes on. When it is
gone, the file says where it was. The plan of kills is one file that all processes share under a lock.
"""

import fcntl
import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from random import Random
from typing import Any

IDLE = "idle"
OF_A_RUN = ("run begun", "swept", "line open")
BEFORE = ("move not committed", "claimed", "written", "handed over", "recipient taken", "half the body")
# From the final dot until the row says 'sent', nobody can know whether the letter went out.
GAP = ("dot sent", "answer read", "sent not committed")
STEPS = (*OF_A_RUN, *BEFORE, *GAP, "sent noted")
CHILD, GROUP = "child", "group"
ODDS_OF_A_RUN = 0.4
WIDTH = 24


class Plan:
    """Which kills are still to come. `letters` spreads them over most of the letters."""

    def __init__(self, folder: Path) -> None:
        self.file = folder / "plan.json"
        self.at = folder / "at"

    def begin(self, *, kills: int, letters: int, groups: int, seed: int) -> None:
        dice = Random(seed)
        steps = [STEPS[number % len(STEPS)] for number in range(kills)]
        ways = [GROUP] * groups + [CHILD] * (kills - groups)
        dice.shuffle(ways)
        to_come: dict[str, list[str]] = {step: [] for step in STEPS}
        for step, way in zip(steps, ways, strict=True):
            to_come[step].append(way)
        self.at.mkdir()
        state = {"seed": seed, "letters": letters, "hits": dict.fromkeys(STEPS, 0), "to_come": to_come}
        self.file.write_text(json.dumps(state))

    def take(self, step: str) -> str | None:
        """The way to die at this step now, or None."""
        with self._locked() as state:
            to_come, hits = state["to_come"][step], state["hits"][step]
            state["hits"][step] += 1
            if not to_come:
                return None
            left = 0.6 * state["letters"] - hits
            odds = ODDS_OF_A_RUN if step in OF_A_RUN else len(to_come) / max(1.0, left)
            return to_come.pop() if Random(f"{state['seed']} {step} {hits}").random() < odds else None

    def left_of_runs(self) -> int:
        """Kills that a run may still meet when no letter is left."""
        with self._locked() as state:
            return sum(len(state["to_come"][step]) for step in ("run begun", "swept"))

    def spared(self) -> dict[str, int]:
        with self._locked() as state:
            return {step: len(ways) for step, ways in state["to_come"].items() if ways}

    def write_step(self, step: str) -> None:
        """Say where this process is, in one write."""
        handle = os.open(self.at / str(os.getpid()), os.O_WRONLY | os.O_CREAT, 0o600)
        os.pwrite(handle, step.ljust(WIDTH).encode(), 0)
        os.close(handle)

    def write_sweep(self, now: datetime) -> None:
        """Say that a sweep that began at an instant did all its moves."""
        with (self.file.parent / "sweeps").open("a") as file:
            file.write(f"{now.isoformat()}\n")

    def sweeps(self) -> list[datetime]:
        written = (self.file.parent / "sweeps").read_text().splitlines()
        return sorted(datetime.fromisoformat(line) for line in written)

    def fallen(self) -> list[str]:
        """Where each process was that is gone since the last call."""
        found = []
        for file in self.at.iterdir():
            if not Path("/proc", file.name).exists():
                found.append(file.read_text().strip() or IDLE)
                file.unlink()
        return found

    @contextmanager
    def _locked(self) -> Iterator[Any]:
        with self.file.with_suffix(".lock").open("a") as lock:
            fcntl.flock(lock, fcntl.LOCK_EX)
            state = json.loads(self.file.read_text())
            yield state
            # Whoever holds the lock may be killed by a sibling: the plan is always whole.
            draft = self.file.with_suffix(".part")
            draft.write_text(json.dumps(state))
            os.replace(draft, self.file)
