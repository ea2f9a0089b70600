"""Two senders that meet over the same letters."""

import subprocess

from tests.chain.deployment import Deployment


def two_runs_at_once(house: Deployment, how: str) -> list[tuple[int, int]]:
    """Two senders in step: both pick before either sends. How many letters each picked, round by round."""
    house.run("-m", "tests.chain.plan_once")
    runs = [house.start(f"runner-{number}", "-m", "tests.chain.runner", how) for number in (1, 2)]
    rounds = []
    while not rounds or any(rounds[-1]):
        rounds.append((picked(runs[0]), picked(runs[1])))
        for run in runs:
            go(run)
    assert [run.wait(60) for run in runs] == [0, 0], house.logs()
    return rounds


def picked(run: "subprocess.Popen[str]") -> int:
    assert run.stdout is not None
    return int(run.stdout.readline() or 0)


def go(run: "subprocess.Popen[str]") -> None:
    assert run.stdin is not None
    run.stdin.write("go\n")
    run.stdin.flush()
