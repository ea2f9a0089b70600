"""The real scheduler process through both nights on which London's clocks change, and over a restart in one.

What a schedule by local time did on such nights: it left out the repeated hour, and after a restart in it
sent tens of thousands of messages within seconds. Plain intervals in UTC must do neither.

`python -m tests.faults --clock` runs the same slower, where the count of sweeps is the count of minutes.
"""

from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from pathlib import Path

import pytest

from tests.chain.clock_nights import nights, restart
from tests.chain.false_time import MINUTE, Sweeps

pytestmark = pytest.mark.redis
SPEED = 480
# At this speed a stall of the machine is long; an hour left out is longer.
LONGEST_STALL = timedelta(minutes=30)


def keeps_time(found: Sweeps) -> None:
    assert min(found.gaps) >= MINUTE - timedelta(seconds=1), "two sweeps within a minute"
    assert max(found.gaps) < LONGEST_STALL, "a stretch without a sweep"
    assert abs(len(found.at) - (found.minutes - found.lateness_min)) <= 1 + 1e-6


def test_sweeps_go_on_through_both_changes_and_a_restart_in_the_repeated_hour(tmp_path: Path) -> None:
    with ThreadPoolExecutor() as side_by_side:
        changes = side_by_side.submit(nights, tmp_path, speed=SPEED)
        restarted = side_by_side.submit(restart, tmp_path, speed=SPEED)
    for night, found, messages in changes.result():
        print(f"{night.name}: {found.said()}")
        assert found.at[0] < night.change < found.at[-1]
        assert found.at[-1] - night.change >= night.after
        assert messages >= len(found.at)
        keeps_time(found)
    first, second = restarted.result()
    print(f"first {first.said()}; then {second.said()}")
    assert second.at[0] - first.at[-1] >= MINUTE
    for found in (first, second):
        keeps_time(found)
