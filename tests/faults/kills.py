"""SIGKILL at every step of a letter, of a pool child or of the worker's whole process group.

Two real workers and a real beat, PostgreSQL, a Redis of their own, and a mail server on loopback.
"""

import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from subprocess import Popen

from tests.chain.deployment import Deployment
from tests.faults.balance import Balance, balance, states
from tests.faults.own_servers import OwnRedis
from tests.faults.steps import GAP, IDLE, STEPS, Plan
from tests.mail_server import MailServer

LEASE_S, SWEEP_S = 3, 1
# One finds it, the second makes it due; each sweep that ran beside them and saw it locked is allowed for.
MOST_SWEEPS = 3
QUICK = {
    "COMMONROW_LEASE_SECONDS": str(LEASE_S),
    "COMMONROW_SWEEP_SECONDS": str(SWEEP_S),
    "COMMONROW_MAIL_TIMEOUT": "2",
    "COMMONROW_RETRY_SECONDS": "1",
    "COMMONROW_REPLAN_SECONDS": "86400",
    "COMMONROW_FORECAST_SECONDS": "86400",
    "COMMONROW_TODAY": "",
    # Celery asks Django to check the whole house at every start of a worker, pages and all.
    "CELERY_SKIP_CHECKS": "1",
}
WORKERS = ("one", "two")
RELEASED = ("held", "refused")
STOPPED = {"sent", *RELEASED}


@dataclass
class Killed:
    """What was killed where, and what came of it."""

    at: Counter[str] = field(default_factory=Counter)
    groups: int = 0
    released: int = 0
    took_s: float = 0.0
    spared: dict[str, int] = field(default_factory=dict)
    outcome: Balance | None = None

    @property
    def kills(self) -> int:
        return sum(times for step, times in self.at.items() if step != IDLE)

    def is_sound(self, *, other_gaps: int = 0) -> bool:
        """Nothing lost, nothing doubled but in the gap, every double marked, none left lying by sweeps."""
        outcome = self.outcome
        return (
            outcome is not None
            and not (outcome.lost or outcome.unmarked or outcome.two_ids)
            and outcome.stuck.most_sweeps <= MOST_SWEEPS
            and outcome.doubled <= self.in_the_gap + outcome.no_answers + other_gaps
        )

    @property
    def in_the_gap(self) -> int:
        return sum(self.at[step] for step in GAP)


class KillingField:
    """Letters that are due, and workers that are started again as often as they die."""

    def __init__(self, house: Deployment, post: MailServer, folder: Path) -> None:
        self.house, self.post, self.plan = house, post, Plan(folder)
        self.killed = Killed()
        self._workers: dict[str, Popen[str]] = {}

    def run(self, *, patience_s: float, meanwhile: Callable[[int], None] = lambda _: None) -> Killed:
        """Until every letter is sent and every kill is spent, or nothing helps.

        What happens `meanwhile` is told over and over how many letters arrived.
        """
        began = time.monotonic()
        beat = self.house.beat()
        while time.monotonic() - began < patience_s:
            assert beat.poll() is None, f"beat ended by itself\n{self.house.logs()}"
            self._keep_workers()
            meanwhile(len(self.post.arrived))
            self.killed.at.update(self.plan.fallen())
            now = states(self.house.environment["DATABASE_URL"])
            if set(now) <= STOPPED and sum(now[state] for state in RELEASED):
                self.killed.released += int(self.house.run("-m", "tests.faults.release"))
            elif set(now) == {"sent"} and not self.plan.left_of_runs():
                break
            time.sleep(0.2)
        self.killed.took_s = time.monotonic() - began
        self.killed.spared = self.plan.spared()
        self.killed.outcome = balance(
            self.house.environment["DATABASE_URL"],
            self.post,
            lease=timedelta(seconds=LEASE_S),
            sweeps=self.plan.sweeps(),
        )
        return self.killed

    def _keep_workers(self) -> None:
        for name in WORKERS:
            worker = self._workers.get(name)
            if worker is not None and worker.poll() is None:
                continue
            self.killed.groups += worker is not None
            self._workers[name] = self.house.worker(name, "-I", "tests.faults.points")


def kill_workers(
    *, kills: int, letters: int, groups: int, seed: int, folder: Path, database_url: str, patience_s: float
) -> Killed:
    """Lay out letters in an empty, migrated database, kill as planned, and draw the balance."""
    with (
        OwnRedis(folder / "redis") as redis,
        MailServer() as post,
        Deployment(
            database_url=database_url,
            redis_url=redis.url,
            mail_port=post.port,
            folder=folder,
            FAULTS_FOLDER=str(folder),
            **QUICK,
        ) as house,
    ):
        house.run("-m", "tests.faults.lay_out", str(letters))
        field = KillingField(house, post, folder)
        field.plan.begin(kills=kills, letters=letters, groups=groups, seed=seed)
        return field.run(patience_s=patience_s)


def table(killed: Killed) -> str:
    """Kills by step, delivered, doubled, longest stuck, as lines."""
    outcome = killed.outcome
    assert outcome is not None
    lines = _of_kills(killed) if killed.kills else []
    lines += [
        f"letters {outcome.expected}, delivered {outcome.delivered}, lost {len(outcome.lost)}",
        f"doubled {outcome.doubled} (most copies {outcome.most_copies}), unmarked {len(outcome.unmarked)}, "
        f"under a second Message-ID {len(outcome.two_ids)}, answers too late {outcome.no_answers}",
        f"longest stuck after its lease of {LEASE_S} s: {outcome.stuck.longest_s:.1f} s, in which "
        f"{outcome.stuck.most_sweeps} sweeps came to their end (one every {SWEEP_S} s while a worker lives)",
        f"released by the committee {killed.released}; {killed.took_s:.0f} s in all",
    ]
    return "\n".join(lines)


def _of_kills(killed: Killed) -> list[str]:
    lines = [f"{'step':<22}{'kills':>6}"]
    lines += [f"{step:<22}{killed.at[step]:>6}{'   in the gap' if step in GAP else ''}" for step in STEPS]
    return [
        *lines,
        f"{'all':<22}{killed.kills:>6}   of them {killed.in_the_gap} in the gap between dot and row",
        f"{killed.groups} times the whole process group, which took {killed.at[IDLE]} idle children along; "
        f"not spent: {killed.spared or 'none'}",
    ]
