"""Both nights of 2026 on which London's clocks change, lived through by a real beat."""

from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import redis

from tests.chain.false_time import FalseBeat, Sweeps, house_of
from tests.faults.own_servers import OwnRedis

ZONE = "Europe/London"


@dataclass(frozen=True)
class Night:
    """A change of the clocks in UTC, and how much of the night around it is lived."""

    name: str
    change: datetime
    before: timedelta
    after: timedelta


# Both at 01:00 UTC on the last Sunday of March and of October (Summer Time Order 2002); in autumn the hour
# from 01:00 to 02:00 UTC is the one that comes a second time.
NIGHTS = (
    Night("spring", datetime(2026, 3, 29, 1, tzinfo=UTC), timedelta(minutes=20), timedelta(minutes=20)),
    Night("autumn", datetime(2026, 10, 25, 1, tzinfo=UTC), timedelta(minutes=20), timedelta(minutes=70)),
)


def nights(folder: Path, *, speed: int) -> list[tuple[Night, Sweeps, int]]:
    """Each night with its sweeps and the messages that came to the queue of letters, side by side."""
    with ExitStack() as stack:
        beats = []
        for night in NIGHTS:
            place = folder / night.name
            place.mkdir()
            broker = stack.enter_context(OwnRedis(place / "redis"))
            house = stack.enter_context(house_of(place, broker.url, zone=ZONE))
            begins = night.change - night.before
            beats.append((night, broker, FalseBeat(house, place, night.name, begins=begins, speed=speed)))
        for _, _, beat in beats:
            beat.hurry()
        found = []
        for night, broker, beat in beats:
            sweeps = beat.live(until_instant=night.change + night.after)
            beat.stop()
            found.append((night, sweeps, _messages(broker)))
        return found


def restart(folder: Path, *, speed: int) -> tuple[Sweeps, Sweeps]:
    """A beat that is stopped in the repeated hour, and the one that takes up its schedule five minutes on."""
    change = NIGHTS[1].change
    with OwnRedis(folder / "redis") as broker, house_of(folder, broker.url, zone=ZONE) as house:
        first = FalseBeat(house, folder, "first", begins=change - timedelta(minutes=10), speed=speed)
        first.hurry()
        before = first.live(until_instant=change + timedelta(minutes=10))
        first.stop()
        begins = first.sweeps().at[-1] + timedelta(minutes=5)
        second = FalseBeat(house, folder, "second", begins=begins, speed=speed)
        second.hurry()
        after = second.live(until_instant=change + timedelta(minutes=50))
        second.stop()
    return before, after


def _messages(broker: OwnRedis) -> int:
    line = redis.Redis(port=broker.port)
    try:
        return int(line.llen("letters"))  # type: ignore[arg-type]
    finally:
        line.close()
