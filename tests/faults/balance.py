"""The closing balance of letters: what was to be delivered beside what the mail server has."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import psycopg

from tests.mail_server import MailServer

STEPS = "SELECT delivery_id, at, state, note FROM schedules_deliverystep ORDER BY delivery_id, id"
DIED = "handed over, and the worker never came back"
DUE_AGAIN = ("to be sent once more, with the same Message-ID", "the worker never came back; nothing had left")
NO_ANSWER = "SELECT count(*) FROM schedules_deliverystep WHERE note LIKE 'handed over, no clear answer%'"
DOUBTED = """
    SELECT message_id FROM schedules_delivery WHERE id IN (
        SELECT delivery_id FROM schedules_deliverystep WHERE state = 'doubtful'
    )
"""


@dataclass(frozen=True)
class Balance:
    """What came out of a run of letters."""

    expected: int
    delivered: int
    doubled: int
    most_copies: int
    lost: tuple[str, ...]
    unmarked: tuple[str, ...]
    two_ids: tuple[str, ...]
    no_answers: int
    stuck: "Stuck"


@dataclass(frozen=True)
class Stuck:
    """The longest that a dead worker's letter waited after its lease: in seconds, and in whole sweeps."""

    longest_s: float = 0.0
    most_sweeps: int = 0


def balance(database_url: str, post: MailServer, *, lease: timedelta, sweeps: list[datetime]) -> Balance:
    arrived = Counter(post.message_ids)
    ids: dict[str, set[str]] = {}
    for address, message_id in zip(post.recipients, post.message_ids, strict=True):
        ids.setdefault(address, set()).add(message_id)
    with psycopg.connect(database_url) as database:
        expected = {row[0] for row in asked(database, "SELECT message_id FROM schedules_delivery")}
        doubted = {row[0] for row in asked(database, DOUBTED)}
        stuck = _stuck(asked(database, STEPS), lease=lease, sweeps=sweeps)
        [(no_answers,)] = asked(database, NO_ANSWER)
    return Balance(
        expected=len(expected),
        delivered=len(arrived),
        doubled=arrived.total() - len(arrived),
        most_copies=max(arrived.values(), default=0),
        lost=tuple(sorted(expected ^ arrived.keys())),
        unmarked=tuple(mid for mid, times in arrived.items() if times > 1 and mid not in doubted),
        two_ids=tuple(address for address, found in ids.items() if len(found) > 1),
        no_answers=no_answers,
        stuck=stuck,
    )


def _stuck(steps: Sequence[Any], *, lease: timedelta, sweeps: list[datetime]) -> Stuck:
    """`sweeps` began at these instants and came to their end."""
    longest_s, most = 0.0, 0
    taken: datetime | None = None
    for _, at, state, note in steps:
        if state == "claimed":
            taken = at
        elif state == "doubtful" and note != DIED:
            taken = None  # it is to wait, for the mail server's sake
        elif state == "due" and taken is not None and note.startswith(DUE_AGAIN):
            over = taken + lease
            longest_s = max(longest_s, (at - over).total_seconds())
            most = max(most, sum(over < sweep <= at for sweep in sweeps))
    return Stuck(longest_s, most)


def states(database_url: str) -> Counter[str]:
    """How many letters are in which state; nothing while the database is away."""
    try:
        with psycopg.connect(database_url, connect_timeout=5) as database:
            rows = asked(database, "SELECT state, count(*) FROM schedules_delivery GROUP BY state")
    except psycopg.OperationalError:
        return Counter({"unknown": 1})
    return Counter(dict(rows))


def asked(database: "psycopg.Connection[Any]", sql: str, *values: Any) -> Sequence[Any]:
    return database.execute(sql, values or None).fetchall()  # type: ignore[call-overload,no-any-return]
