"""Two senders that meet over the same letters."""

from tests.chain.deployment import Deployment


def two_runs_at_once(house: Deployment, how: str) -> list[str]:
    """Two senders that both pick before either sends; what each said it picked."""
    house.run("-m", "tests.chain.plan_once")
    runs = [house.start(f"runner-{number}", "-m", "tests.chain.runner", how) for number in (1, 2)]
    said = [run.stdout.readline().strip() for run in runs]  # type: ignore[union-attr]
    for run in runs:
        run.stdin.write("go\n")  # type: ignore[union-attr]
        run.stdin.flush()  # type: ignore[union-attr]
    assert [run.wait(60) for run in runs] == [0, 0], house.logs()
    return said
