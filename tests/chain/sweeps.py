"""Waiting for sweeps instead of seconds: a busy machine may need more of these for the same."""

import time

import psycopg

from tests.chain.deployment import Deployment, until

ENDED = "SELECT finished_at FROM schedules_sweep WHERE name = 'deliveries_send'"


def swept_again(house: Deployment, *, times: int, seconds: float = 120) -> None:
    """Wait until the sweep of letters came to its end so many more times."""
    with psycopg.connect(house.environment["DATABASE_URL"], autocommit=True) as database:
        seen = set(database.execute(ENDED).fetchall())

        def is_enough() -> bool:
            seen.update(database.execute(ENDED).fetchall())
            return len(seen) > times

        assert until(is_enough, seconds=seconds, nap=time.sleep), house.logs()
