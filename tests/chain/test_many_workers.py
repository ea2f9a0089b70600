"""Two beats and four workers at once over one pile of letters; and the same without the claim."""

import time
from collections import Counter
from pathlib import Path

import psycopg
import pytest

from tests.chain.deployment import Deployment, until
from tests.chain.sweeps import swept_again
from tests.faults.balance import states
from tests.faults.kills import QUICK
from tests.faults.own_servers import OwnRedis
from tests.mail_server import MailServer

pytestmark = [pytest.mark.postgresql, pytest.mark.redis]
LETTERS = 40
WORKERS = ("one", "two", "three", "four")
DUE_AGAIN = "UPDATE schedules_delivery SET state = 'due', claim = NULL, lease_until = NULL"


def all_sent(house: Deployment) -> bool:
    return states(house.environment["DATABASE_URL"]) == {"sent": LETTERS}


def test_none_is_doubled_and_without_the_claim_many_are(migrated_url: str, tmp_path: Path) -> None:
    unclaimed = tmp_path / "unclaimed"
    with (
        OwnRedis(tmp_path / "redis") as broker,
        MailServer() as post,
        Deployment(
            database_url=migrated_url,
            redis_url=broker.url,
            mail_port=post.port,
            folder=tmp_path,
            DAWDLING_UNCLAIMED=str(unclaimed),
            **QUICK | {"COMMONROW_LEASE_SECONDS": "60"},
        ) as house,
    ):
        house.run("-m", "tests.faults.lay_out", str(LETTERS))
        for name in WORKERS:
            house.worker(name, "-I", "tests.chain.dawdling")
        for name in ("beat-one", "beat-two"):
            house.beat(name)
        assert until(lambda: all_sent(house), seconds=180, nap=time.sleep), house.logs()
        swept_again(house, times=4)  # by both beats; nothing may come twice
        assert Counter(Counter(post.message_ids).values()) == {1: LETTERS}

        post.forget()
        unclaimed.touch()
        with psycopg.connect(migrated_url) as database:
            database.execute(DUE_AGAIN)
        assert until(lambda: all_sent(house), seconds=180, nap=time.sleep), house.logs()
    times = Counter(Counter(post.message_ids).values())
    print(f"without the claim: {dict(times)} (times: letters)")
    assert sum(letters for copies, letters in times.items() if copies > 1) > LETTERS / 4
