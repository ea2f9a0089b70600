"""Redis and PostgreSQL killed under running workers, and a mail server that fails in every way.

Both are a test's own. The workers are never restarted: they must find back by themselves.
"""

import time
from collections.abc import Callable
from pathlib import Path

from tests.chain.deployment import Deployment
from tests.faults.kills import QUICK, Killed, KillingField
from tests.faults.migrated import migrated
from tests.faults.own_servers import OwnPostgresql, OwnRedis
from tests.mail_server import ACCEPT, HANG_UP, SILENCE, MailServer

# Letters that may be between dot and row at the instant at which the database falls: one a pool child.
IN_THE_GAP = 4
SENDER = ("421 4.3.2 shutting down", "450 4.7.0 try later", ACCEPT)
RECIPIENT = ("450 4.2.0 mailbox busy", "451 4.7.1 greylisted", "550 5.1.1 no such mailbox", ACCEPT)
LETTER = ("421 4.3.2 shutting down", "450 4.3.0 no", "552 5.2.2 mailbox full", HANG_UP, SILENCE, ACCEPT)


def servers_fall(*, letters: int, folder: Path, patience_s: float) -> Killed:
    """Redis falls three times and PostgreSQL once, spread over the letters."""
    with OwnPostgresql() as database, OwnRedis(folder / "redis") as broker:

        def broker_falls() -> None:
            broker.kill()
            time.sleep(1)
            broker.start()

        def database_falls() -> None:
            database.stop_at_once()
            time.sleep(1)
            database.start()

        falls = [broker_falls, broker_falls, database_falls, broker_falls]
        events = [(letters * (at + 1) // 8, fall) for at, fall in enumerate(falls)]
        with MailServer() as post:
            post.dawdles_at = events[0][0]  # letters are still on their way when a server falls

            def meanwhile(arrived: int) -> None:
                while events and arrived >= events[0][0]:
                    events.pop(0)[1]()
                    post.dawdles_at = events[0][0] if events else None

            migrated(database.url, folder)
            killed = _run(database.url, broker.url, post, letters, folder, meanwhile, patience_s)
        assert not events, f"{len(events)} servers never fell: the letters were too quick"
        return killed


def mail_server_fails(*, letters: int, folder: Path, database_url: str, patience_s: float) -> Killed:
    """Every answer that a mail server can give or owe, one letter each; then it takes everything.

    The database is empty and migrated.
    At least 13 letters, so that all answers come up.
    """
    with OwnRedis(folder / "redis") as broker, MailServer() as post:
        post.sender_answers = list(SENDER)
        post.recipient_answers = list(RECIPIENT)
        post.answers = list(LETTER)
        post.silent_at = {"greeting"}

        def meanwhile(_: int) -> None:
            if post.greeted > 1:
                post.silent_at.clear()

        killed = _run(database_url, broker.url, post, letters, folder, meanwhile, patience_s)
        never_given = post.sender_answers + post.recipient_answers + post.answers
        assert never_given == [], "some answers never came up"
        return killed


def _run(
    database_url: str,
    broker_url: str,
    post: MailServer,
    letters: int,
    folder: Path,
    meanwhile: Callable[[int], None],
    patience_s: float,
) -> Killed:
    with Deployment(
        database_url=database_url,
        redis_url=broker_url,
        mail_port=post.port,
        folder=folder,
        FAULTS_FOLDER=str(folder),
        **QUICK,
    ) as house:
        house.run("-m", "tests.faults.lay_out", str(letters))
        field = KillingField(house, post, folder)
        field.plan.begin(kills=0, letters=letters, groups=0, seed=0)
        return field.run(patience_s=patience_s, meanwhile=meanwhile)
