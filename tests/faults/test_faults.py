"""A few of the faults of `python -m tests.faults`, at every change; that command has more of them."""

from pathlib import Path

import pytest

from tests.faults.kills import kill_workers, table
from tests.faults.servers import IN_THE_GAP, LETTER, mail_server_fails, servers_fall
from tests.faults.steps import GAP
from tests.mail_server import HANG_UP, SILENCE

pytestmark = [pytest.mark.postgresql, pytest.mark.redis]
PATIENCE_S = 300.0  # only so that a hang becomes a failure
KILLS, LETTERS = 20, 60


def test_workers_killed_at_every_step_lose_nothing(migrated_url: str, tmp_path: Path) -> None:
    killed = kill_workers(
        kills=KILLS,
        letters=LETTERS,
        groups=3,
        seed=3,
        folder=tmp_path,
        database_url=migrated_url,
        patience_s=PATIENCE_S,
    )
    print(table(killed))
    assert killed.spared == {}
    assert killed.kills >= KILLS
    assert killed.outcome is not None
    assert killed.outcome.lost == ()
    assert killed.outcome.delivered == LETTERS
    assert killed.outcome.doubled >= sum(killed.at[step] > 0 for step in GAP) - 1, "no kill hit the gap"
    assert killed.is_sound(), table(killed)


def test_letters_outlive_redis_and_postgresql(tmp_path: Path) -> None:
    killed = servers_fall(letters=24, folder=tmp_path, patience_s=PATIENCE_S)
    print(table(killed))
    assert killed.groups == 0, "a worker ended by itself"
    assert killed.outcome is not None
    assert (killed.outcome.lost, killed.outcome.delivered) == ((), 24)
    assert killed.is_sound(other_gaps=IN_THE_GAP), table(killed)


def test_letters_outlive_a_mail_server_that_fails_in_every_way(migrated_url: str, tmp_path: Path) -> None:
    killed = mail_server_fails(letters=14, folder=tmp_path, database_url=migrated_url, patience_s=PATIENCE_S)
    print(table(killed))
    unanswered = sum(answer in (HANG_UP, SILENCE) for answer in LETTER)
    assert killed.outcome is not None
    assert (killed.outcome.lost, killed.outcome.delivered) == ((), 14)
    assert killed.outcome.doubled == killed.outcome.no_answers == unanswered
    assert killed.released == 2, "the two that were refused for good"
    assert killed.is_sound(), table(killed)
