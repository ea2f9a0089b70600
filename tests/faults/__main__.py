"""Letters against every fault, each with real processes.

``python -m tests.faults --kills 200 --seed 1`` kills workers at every step over 500 letters;
``python -m tests.faults --servers`` kills Redis and PostgreSQL under them and lets the mail server fail;
``python -m tests.faults --clock`` takes the scheduler through both nights on which clocks change.
It ends with 1 when a letter was lost, or doubled without cause or mark.
"""

import argparse
import signal
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from tests import services
from tests.chain.clock_nights import nights, restart
from tests.faults.kills import kill_workers, table
from tests.faults.migrated import migrated
from tests.faults.servers import IN_THE_GAP, mail_server_fails, servers_fall

SPEED = 60
PATIENCE_S = 2400.0


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.faults", description=__doc__)
    parser.add_argument("--kills", type=int, default=0, help="how many processes to kill")
    parser.add_argument("--letters", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--servers", action="store_true", help="kill Redis and PostgreSQL, let SMTP fail")
    parser.add_argument(
        "--clock", action="store_true", help="live through the nights of 2026, 60 times as fast"
    )
    wanted = parser.parse_args()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # so that everything that was started is ended
    is_sound = True
    if wanted.kills:
        is_sound &= kills(wanted.kills, wanted.letters, wanted.seed)
    if wanted.servers:
        is_sound &= servers(min(wanted.letters, 120))
    if wanted.clock:
        is_sound &= clock()
    return 0 if is_sound else 1


def kills(count: int, letters: int, seed: int) -> bool:
    with tempfile.TemporaryDirectory() as name, services.postgresql_database() as url:
        folder = Path(name)
        migrated(url, folder)
        killed = kill_workers(
            kills=count,
            letters=letters,
            groups=count // 4,
            seed=seed,
            folder=folder,
            database_url=url,
            patience_s=PATIENCE_S,
        )
    print(f"seed {seed}\n{table(killed)}")
    return killed.is_sound()


def servers(letters: int) -> bool:
    with tempfile.TemporaryDirectory() as name:
        fallen = servers_fall(letters=letters, folder=Path(name), patience_s=PATIENCE_S)
    print(f"Redis killed three times, PostgreSQL once\n{table(fallen)}\n")
    with tempfile.TemporaryDirectory() as name, services.postgresql_database() as url:
        migrated(url, Path(name))
        failed = mail_server_fails(
            letters=letters, folder=Path(name), database_url=url, patience_s=PATIENCE_S
        )
    print(f"a mail server that fails in every way\n{table(failed)}")
    return fallen.is_sound(other_gaps=IN_THE_GAP) and failed.is_sound() and not fallen.groups + failed.groups


def clock() -> bool:
    with tempfile.TemporaryDirectory() as name, ThreadPoolExecutor() as side_by_side:
        changes = side_by_side.submit(nights, Path(name), speed=SPEED)
        restarted = side_by_side.submit(restart, Path(name), speed=SPEED)
        found = [(night.name, sweeps) for night, sweeps, _ in changes.result()]
        found += zip(("before the restart", "after it"), restarted.result(), strict=True)
    for title, sweeps in found:
        print(f"{title}: {sweeps.said()}")
    return all(abs(len(sweeps.at) - sweeps.minutes) <= 1 for _, sweeps in found)


if __name__ == "__main__":
    sys.exit(main())
